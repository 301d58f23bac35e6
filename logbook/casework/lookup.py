"""Which panel is which in a case, how thick it is, and lengths as words; in whole ticks of a length."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import cache

from logbook.casework.leaves import VeneerLayer, laid, veneer_layers
from logbook.model.case_plan import Size
from logbook.model.casework_records import HeldDimension, Panel, PanelJoint
from logbook.model.measures import TICKS_PER_MM, Length
from logbook.model.unit import Unit
from logbook.model.words import Axis, PanelRole

_HUNDREDTH = TICKS_PER_MM // 100


def ticks(length: Length | None, otherwise: str = "0 mm") -> int:
    """A length that may not be said, in ticks."""
    return _usual(otherwise) if length is None else length.ticks


@cache
def _usual(text: str) -> int:
    return Length.of(text).ticks


def mm(of: int) -> str:
    """To 0.01 mm, as `Length.in_mm` shows it; without a record, because a case has hundreds of figures."""
    hundredths, rest = divmod(of, _HUNDREDTH)
    if rest * 2 > _HUNDREDTH or (rest * 2 == _HUNDREDTH and hundredths % 2):
        hundredths += 1
    whole, part = divmod(abs(hundredths), 100)
    text = f"{whole}.{part:02d}".rstrip("0").rstrip(".")
    return f"-{text}" if hundredths < 0 else text


def signed(of: int) -> str:
    """A difference, with its sign: `+0.4`, `-1`, `0`."""
    return f"+{mm(of)}" if of > 0 else mm(of)


def says(text: str, word: str) -> bool:
    """Whether a text has the word."""
    return word in words_in(text)


def words_in(text: str) -> list[str]:
    """The words of a text, in small letters."""
    return [w for w in re.split(r"[\W_]+", text.casefold()) if w]


_BY_WORD = (
    ("top", PanelRole.TOP), ("bottom", PanelRole.BOTTOM), ("baffle", PanelRole.FRONT), ("front", PanelRole.FRONT),
    ("back", PanelRole.BACK), ("divider", PanelRole.DIVIDER), ("shelf", PanelRole.SHELF),
)  # fmt: skip


def role_of(panel: Panel) -> PanelRole:
    """What a panel is in its case, as said or as its name tells; a side alone is left or right by its letter."""
    if panel.role is not PanelRole.UNSAID:
        return panel.role
    words = words_in(panel.name)
    if "side" in words or "sides" in words:
        if panel.quantity == 2 or "sides" in words:
            return PanelRole.SIDES
        right = "r" in words or "right" in words
        return PanelRole.RIGHT if right else PanelRole.LEFT
    return next((role for word, role in _BY_WORD if word in words), PanelRole.OTHER)


def panels_of(panels: Iterable[Panel], *roles: PanelRole) -> tuple[Panel, ...]:
    """The panels with one of the roles."""
    return tuple(p for p in panels if role_of(p) in roles)


def sides_of(panels: Iterable[Panel]) -> tuple[Panel, ...]:
    """The two sides, left first; a panel that is both stands there once."""
    found = panels_of(panels, PanelRole.LEFT, PanelRole.RIGHT, PanelRole.SIDES)
    return tuple(sorted(found, key=lambda p: role_of(p) is PanelRole.RIGHT))


def thickness_of(panel: Panel) -> int | None:
    """All its layers and those of its veneer together, in ticks; None when no layer was measured."""
    if not panel.layers:
        return None
    return sum(x.thickness.ticks for x in panel.layers) + sum(x.thickness for x in veneer_of(panel))


def veneer_of(panel: Panel) -> tuple[VeneerLayer, ...]:
    """The layers of veneer of a panel, by its size as far as that is written down."""
    return veneer_layers(map(laid, panel.leaves), face_of(panel))


def face_of(panel: Panel) -> Size | None:
    """The size of its faces as far as it is written down: finished, or else as cut."""
    return panel.finish or panel.cut or panel.rough


def side_thickness(panels: Iterable[Panel]) -> tuple[int, int] | None:
    """The thickness of the left and the right side; None when there are not two or one is not known."""
    each = [thickness_of(s) for s in sides_of(panels) for _ in range(2 if role_of(s) is PanelRole.SIDES else 1)]
    return None if len(each) != 2 or each[0] is None or each[1] is None else (each[0], each[1])


def is_at(joint: PanelJoint, end: str) -> bool:
    """Whether a joint is at that end."""
    return "both" in joint.end.casefold() or says(joint.end, end)


def joint_at(panel: Panel, end: str) -> PanelJoint | None:
    """The joint of a panel at one end; None when it has none there."""
    return next((j for j in panel.joints if is_at(j, end)), None)


def joint_between(sides: Sequence[Panel], part: Panel, end: str) -> PanelJoint | None:
    """The joint of a part with the sides, as the first side has it or else as the part has it."""
    at_sides = (j for s in sides if (j := joint_at(s, end)) is not None)
    return next(at_sides, None) or joint_at(part, "left")


def axis_of(held: HeldDimension) -> Axis:
    """Which way a held dimension runs, as said or as its name tells."""
    if held.along is not Axis.UNSAID:
        return held.along
    words = words_in(held.what)
    named = (("width", Axis.WIDTH), ("height", Axis.HEIGHT), ("depth", Axis.DEPTH), ("above", Axis.HEIGHT))
    return next((axis for word, axis in named if word in words), Axis.UNSAID)


def members_of(unit: Unit) -> tuple[str, ...]:
    """The members of the set that the unit itself is; one without a name when it is one thing."""
    whole = unit.whole_set()
    return tuple(m.code for m in whole.members) if whole is not None and whole.members else ("",)
