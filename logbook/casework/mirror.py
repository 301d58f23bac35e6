"""The mirror image of a panel: what it takes over from its pattern, and where its openings and joints then are.

A pair is drawn once; the other hand says only of which panel it is the mirror image. Seen from the front, the mirror
changes left and right about: a hole so far from the left inside face of the pattern is as far from the right one of
its image. A side seen from its own face keeps its measures: front stays front and bottom stays bottom.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from logbook.casework.lookup import role_of, thickness_of
from logbook.model.case_plan import Position
from logbook.model.casework_records import Case, Opening, Panel, PanelJoint
from logbook.model.measures import Length
from logbook.model.words import PanelRole

_SIDES = frozenset({PanelRole.LEFT, PanelRole.RIGHT, PanelRole.SIDES})
_TAKEN = (
    "joints",
    "grooves",
    "banded",
    "openings",
    "chamfer",
    "chamfers",
    "species",
    "sawn",
    "wrap",
    "oversize",
    "between",
    "set_back",
    "at",
)
"""What a mirror image takes over where it says nothing itself."""
_BUILT = ("layers", "leaves")
"""Taken over only together: leaves on another core would make another thickness."""
_SIZES = ("finish", "cut", "rough")
"""Taken over where no plan works them out."""


def mirrored(panel: Panel, by_code: Mapping[str, Panel], *, planned: bool = True) -> Panel:
    """The panel with what it takes over from the panel it is the mirror image of; itself when it is of none.

    Args:
        panel: the panel as recorded.
        by_code: every panel of the case, those of other members too.
        planned: whether a plan gives its sizes; if not, those of the pattern are its own.
    """
    pattern = pattern_of(panel, by_code)
    if pattern is None:
        return panel
    names = [*_TAKEN]
    if not panel.layers:
        names += _BUILT
    if not planned:
        names += _SIZES
    taken = {name: getattr(pattern, name) for name in names if not _says(panel, name)}
    if changes_hands(panel):
        for name in ("joints", "banded"):
            if name in taken:
                taken[name] = _other_hand(taken[name])
    return panel.model_copy(update={"grain": pattern.grain, **taken})


def written_out(case: Case) -> tuple[Panel, ...]:
    """All panels of a case with what mirror images take over from their patterns."""
    recorded = {p.code: p for p in case.panels}
    return tuple(mirrored(p, recorded, planned=case.plan is not None) for p in case.panels)


def pattern_of(panel: Panel, by_code: Mapping[str, Panel]) -> Panel | None:
    """The panel at the end of the row of mirror images; None when this is no image, or the row goes round."""
    seen = {panel.code}
    at = panel
    while at.mirror_of in by_code and at.mirror_of not in seen:
        at = by_code[at.mirror_of]
        seen.add(at.code)
    return at if at is not panel else None


def mirror_words(panel: Panel, panels: Iterable[Panel]) -> str:
    """Of which panel it is the mirror image: `mirror of P1`, of another member's `mirror of P1 (L)`; empty for none."""
    if not panel.mirror_of:
        return ""
    members = {each.member for each in panels if each.code == panel.mirror_of}
    of_another = f" ({', '.join(sorted(members))})" if members and members.isdisjoint({panel.member, ""}) else ""
    return f"mirror of {panel.mirror_of}{of_another}"


def changes_hands(panel: Panel) -> bool:
    """Whether left and right change about in its mirror image: on all but the sides."""
    return role_of(panel) not in _SIDES


def _says(panel: Panel, name: str) -> bool:
    """Whether a panel says something itself."""
    return bool(getattr(panel, name) != type(panel).model_fields[name].default)


_OTHER = {"left": "right", "right": "left"}


def _other_hand(things: tuple[str | PanelJoint, ...]) -> tuple[str | PanelJoint, ...]:
    """Edges and joints with left and right changed about."""
    turned: list[str | PanelJoint] = []
    for thing in things:
        if isinstance(thing, PanelJoint):
            turned.append(thing.model_copy(update={"end": _turned(thing.end)}))
        else:
            turned.append(_turned(thing))
    return tuple(turned)


def _turned(text: str) -> str:
    return " ".join(_OTHER.get(word.casefold(), word) for word in text.split(" "))


def with_places_mirrored(
    panels: Iterable[Panel], recorded: Mapping[str, Panel], width: int | None
) -> tuple[Panel, ...]:
    """Panels whose openings and places were taken over, with these where the mirror puts them.

    Args:
        panels: the panels of one member, with what they took over.
        recorded: every panel of the case as recorded.
        width: the inside width of that member's case, in ticks; while it is not known they have no place yet, so that
            no hole is cut where its pattern has it.
    """
    return tuple(_moved(panel, recorded, width) for panel in panels)


def _moved(panel: Panel, recorded: Mapping[str, Panel], width: int | None) -> Panel:
    own = recorded.get(panel.code)
    pattern = pattern_of(own, recorded) if own is not None else None
    if own is None or pattern is None or not changes_hands(panel):
        return panel
    update: dict[str, object] = {}
    if panel.openings and not own.openings:
        update["openings"] = () if width is None else tuple(_opening(opening, width) for opening in panel.openings)
    thick = thickness_of(panel)
    if role_of(panel) is PanelRole.DIVIDER and own.at is None and panel.at is not None:
        update["at"] = _at(panel.at, thick, width)
    return panel.model_copy(update=update) if update else panel


def _at(of_pattern: Length, thick: int | None, width: int | None) -> Length | None:
    """Where a divider stands that is as far from the right inside face as its pattern is from the left one."""
    if width is None or thick is None:
        return None
    return Length.from_ticks(width - of_pattern.ticks - thick)


def openings_without_a_place(panel: Panel, recorded: Mapping[str, Panel]) -> str:
    """What is to be said of openings that a mirror image takes over while nobody knows where they are; else empty.

    Args:
        panel: with what it took over, as `with_places_mirrored` gives it.
        recorded: every panel of the case as recorded.
    """
    own = recorded.get(panel.code)
    pattern = pattern_of(own, recorded) if own is not None else None
    if pattern is None or panel.openings or not pattern.openings:
        return ""
    names = ", ".join(opening.what for opening in pattern.openings)
    return f"{names}: as {pattern.code}, from the right instead of the left; hold the inside width, and it follows"


def _opening(opening: Opening, width: int) -> Opening:
    """An opening as far from the right inside face as its pattern is from the left one."""
    centre = Position(x=Length.from_ticks(width - opening.centre.x.ticks), y=opening.centre.y)
    return opening.model_copy(update={"centre": centre})
