"""The case of one member of a unit, and the dimensions that are held of it."""

from __future__ import annotations

from logbook.casework.back_groove import plan_said
from logbook.casework.case_things import own_sizes, thing_of_held, thing_of_panel
from logbook.casework.lookup import axis_of, members_of, role_of, words_in
from logbook.casework.mirror import mirrored
from logbook.model.casework_records import Case, HeldDimension, Panel
from logbook.model.unit import Unit
from logbook.model.words import HeldKind, PanelRole

_ONCE = {
    PanelRole.TOP, PanelRole.BOTTOM, PanelRole.LEFT, PanelRole.RIGHT, PanelRole.SIDES, PanelRole.FRONT, PanelRole.BACK,
}  # fmt: skip
"""What a case has once: there a member's own panel takes the place of the one for every member."""


def case_of(unit: Unit, member: str = "") -> Case | None:
    """The case of one member of a unit: what holds for every one, and what is its own; mirror images written out.

    The pattern of a mirror image may be a panel of another member; where its openings then are depends on the width
    inside, which is not known here (`logbook.casework.mirror.with_places_mirrored`).
    """
    case = unit.case
    if case is None:
        return None
    own = {role_of(p) for p in case.panels if p.member and p.member == member} & _ONCE
    things = {p.code for p in case.panels if thing_of_panel(p, unit) is not None}
    panels = [
        p.model_copy(update={"role": PanelRole.OTHER}) if p.code in things else p
        for p in case.panels
        if (p.code in things and member == members_of(unit)[0])
        or (p.code not in things and (p.member == member or (not p.member and role_of(p) not in own)))
    ]
    recorded = {p.code: p for p in case.panels}
    planned = case.plan is not None
    written_out = tuple(mirrored(p, recorded, planned=planned) for p in panels)
    fittings = tuple(f for f in case.fittings if f.member in ("", member))
    own_case = case.model_copy(update={"panels": written_out, "fittings": fittings})
    return own_case.model_copy(update={"plan": plan_said(own_case)})


def held_of(unit: Unit, member: str = "") -> tuple[HeldDimension, ...]:
    """The dimensions held of the case of one member, and of its panels.

    Its own take the place of those for every one along the same axis. What is held of something else, such as a
    drawer that stands in the case, is not asked of the case.
    """
    of_case = [h for h in unit.held_dimensions if not (panel_of(h, unit) or is_of_another_thing(h, unit))]
    own = [(h.kind, axis_of(h), h.between) for h in of_case if member and h.member == member]
    found: list[HeldDimension] = []
    for held in unit.held_dimensions:
        if panel_of(held, unit):
            taken = held.member in ("", member)
        elif held in of_case:
            taken = held.member == member or (not held.member and (held.kind, axis_of(held), held.between) not in own)
        else:
            taken = False
        if taken:
            found.append(held)
    return tuple(found)


_OF_THE_WHOLE = frozenset({"inside", "outside", "overall", "whole", "case", "cabinet", "carcase", "clear"})
"""Words by which a held size is one of the case, whatever else its name says."""
_SIZES = (HeldKind.INSIDE, HeldKind.OUTSIDE)


def panel_of(held: HeldDimension, unit: Unit) -> str:
    """Code of the panel whose own size is held, as said or as its name tells; empty when it is one of the case.

    `shelf width` is of the panel called shelf; `inside width` and `front opening width` are of no panel.
    """
    if held.panel:
        return held.panel
    if unit.case is None or held.kind not in _SIZES or held.between:
        return ""
    words = words_in(held.what)
    if not _OF_THE_WHOLE.isdisjoint(words) or words[-1:] not in (["width"], ["height"], ["depth"], ["length"]):
        return ""
    return next((p.code for p in unit.case.panels if _named(p, words[:-1])), "")


def _named(panel: Panel, words: list[str]) -> bool:
    return words in (words_in(panel.name), words_in(panel.code))


def is_of_another_thing(held: HeldDimension, unit: Unit) -> bool:
    """Whether a size is held of a member of a set that the case is not, such as one drawer of a chest.

    It is so when the member says so, or when the name of the size begins with the name of such a set.
    """
    return thing_of_held(held, unit) is not None


def held_of_things(unit: Unit) -> tuple[HeldDimension, ...]:
    """The sizes that are held of such things, and that a panel of theirs follows from."""
    followed = {a.held for own in own_sizes(unit).values() for a in (own.length, own.width) if a is not None}
    return tuple(h for h in unit.held_dimensions if h.code in followed and not panel_of(h, unit))
