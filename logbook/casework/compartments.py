"""Held sizes from one panel to the next: with a shelf between two held heights the whole inside follows from both.

Common practice, no source: the inside is the sum of the clear sizes and of what stands between them; a shelf or divider
stands where the clear sizes below it, or left of it, put it. All sizes are whole ticks.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from logbook.casework.lookup import axis_of, mm, panels_of, role_of, thickness_of
from logbook.model.casework_records import Case, HeldDimension, Panel
from logbook.model.measures import Length
from logbook.model.words import Axis, HeldKind, PanelRole

_ENDS = {
    Axis.HEIGHT: ((PanelRole.BOTTOM,), (PanelRole.TOP,)),
    Axis.WIDTH: ((PanelRole.LEFT, PanelRole.SIDES), (PanelRole.RIGHT, PanelRole.SIDES)),
}
"""Where the inside begins and where it ends; depth has no compartments."""
_STANDS = {Axis.HEIGHT: PanelRole.SHELF, Axis.WIDTH: PanelRole.DIVIDER}


class CompartmentRow(NamedTuple):
    """Clear sizes in a row along one axis, from where the inside begins."""

    whole: int | None
    """The inside, when the row reaches from one end to the other."""
    places: Mapping[str, int]
    """By code, where what stands between begins."""
    words: str
    """The sum: “120 + 12 P6 + 180”."""


def lies_between(held: HeldDimension) -> bool:
    """Whether a held size is one of a compartment."""
    return held.kind is HeldKind.INSIDE and bool(held.between)


def row_of(case: Case, held: Sequence[HeldDimension], axis: Axis, whole: int | None = None) -> CompartmentRow:
    """The clear sizes held along an axis, one after the other.

    Args:
        case: of one member.
        held: what is held for that member.
        axis: which way.
        whole: the inside along it, when it is known otherwise; then what is held from the far end counts as well.
    """
    if axis not in _ENDS:
        return CompartmentRow(whole, {}, "")
    begins, ends = ({p.code for p in panels_of(case.panels, *roles)} for roles in _ENDS[axis])
    stands = {p.code: thickness_of(p) for p in case.panels if role_of(p) is _STANDS[axis]}
    clear = [(*_in_order(h, begins, ends), h.value.ticks) for h in held if h.value and _counts(h, axis)]
    places: dict[str, int] = {}
    said: list[str] = []
    at, now = 0, begins
    while (found := next((c for c in clear if c[0] in now), None)) is not None:
        clear.remove(found)
        at += found[2]
        said.append(mm(found[2]))
        if found[1] in ends:
            return CompartmentRow(at, places, " + ".join(said))
        thick = stands.get(found[1])
        if thick is None:
            break
        places[found[1]] = at
        at, now = at + thick, {found[1]}
        said.append(f"{mm(thick)} {found[1]}")
    if whole is not None:
        places = {**_from_the_end(clear, ends, stands, whole), **places}
    return CompartmentRow(None, places, "")


def _counts(held: HeldDimension, axis: Axis) -> bool:
    return lies_between(held) and len(held.between) == 2 and axis_of(held) is axis and not held.at_least


def _in_order(held: HeldDimension, begins: set[str], ends: set[str]) -> tuple[str, str]:
    low, high = held.between
    turned = (low in ends and low not in begins) or (high in begins and high not in ends)
    return (high, low) if turned else (low, high)


def _from_the_end(
    clear: Sequence[tuple[str, str, int]], ends: set[str], stands: Mapping[str, int | None], whole: int
) -> dict[str, int]:
    places: dict[str, int] = {}
    left, at, now = list(clear), whole, ends
    while (found := next((c for c in left if c[1] in now), None)) is not None:
        left.remove(found)
        thick = stands.get(found[0])
        if thick is None:
            break
        at -= found[2] + thick
        places[found[0]] = at
        now = {found[0]}
    return places


def with_places(case: Case, held: Sequence[HeldDimension], sizes: Mapping[Axis, int | None]) -> tuple[Panel, ...]:
    """The panels, with shelves and dividers whose place was not written down standing where held sizes put them."""
    places: dict[str, int] = {}
    for axis, whole in sizes.items():
        places |= row_of(case, held, axis, whole).places
    return tuple(
        p.model_copy(update={"at": Length.from_ticks(places[p.code])}) if p.at is None and p.code in places else p
        for p in case.panels
    )


def clear_between(
    held: HeldDimension, case: Case, stands: Mapping[str, tuple[int, int]], whole: int | None
) -> tuple[int, int] | None:
    """From where to where a held size between two panels reaches; None when that is not known.

    Args:
        held: the size.
        case: of one member.
        stands: by code, from where to where along that axis each shelf or divider reaches.
        whole: the inside along that axis.
    """
    axis = axis_of(held)
    if axis not in _ENDS or len(held.between) != 2:
        return None
    begins, ends = ({p.code for p in panels_of(case.panels, *roles)} for roles in _ENDS[axis])
    low, high = _in_order(held, begins, ends)
    start = stands[low][1] if low in stands else 0 if low in begins else None
    end = stands[high][0] if high in stands else whole if high in ends else None
    return None if start is None or end is None else (start, end)
