"""Veneer on a face: leaves that together cover it lie side by side and are one layer; others lie on one another.

A face is covered by two or more halves of one veneer, joined along their edges, as a matched pair is. Where a leaf
covers the face alone, a second one of it is a second layer.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from logbook.model.case_plan import Size
from logbook.model.casework_records import Leaf


class LaidLeaf(NamedTuple):
    """A leaf as it lies on a face; thickness and sizes in ticks."""

    material: str
    thickness: int
    size: tuple[int, int] | None
    """Length and width as cut; None where nobody wrote them, and it is cut as large as the face."""
    show: bool


class VeneerLayer(NamedTuple):
    """One layer of veneer on a face."""

    material: str
    thickness: int
    leaves: int
    """So many lie side by side in it."""
    show: bool


def laid(leaf: Leaf) -> LaidLeaf:
    """A leaf of the record."""
    return LaidLeaf(leaf.material, leaf.thickness.ticks, _flat(leaf.size), leaf.show)


def veneer_layers(leaves: Iterable[LaidLeaf], face: Size | tuple[int, int] | None) -> tuple[VeneerLayer, ...]:
    """The layers of veneer on both faces of a panel, in the order in which the leaves are written.

    Args:
        leaves: those of the panel.
        face: the size of the face; None while it is not known, when halves alike are taken to cover it together.
    """
    known = _flat(face) if isinstance(face, Size) else face
    in_order = list(leaves)
    faces = [[leaf for leaf in in_order if leaf.show is show] for show in (True, False)]
    return tuple(layer for on_one in faces for layer in _on_one_face(on_one, known))


def _on_one_face(leaves: Sequence[LaidLeaf], face: tuple[int, int] | None) -> Iterator[VeneerLayer]:
    for (material, thickness, show), found in groupby(leaves, key=lambda x: (x.material, x.thickness, x.show)):
        alike = list(found)
        if _cover_together([leaf.size for leaf in alike], face):
            yield VeneerLayer(material, thickness, len(alike), show)
        else:
            yield from (VeneerLayer(material, thickness, 1, show) for _ in alike)


def _cover_together(sizes: Sequence[tuple[int, int] | None], face: tuple[int, int] | None) -> bool:
    """Whether several leaves cover a face side by side, and none of them alone."""
    known = [size for size in sizes if size is not None]
    if len(known) < 2 or len(known) < len(sizes):
        return False
    if face is None:
        return len(set(known)) == 1
    length, width = face
    if any(long >= length and wide >= width for long, wide in known):
        return False
    longest, widest = min(long for long, _ in known), min(wide for _, wide in known)
    end_to_end = sum(long for long, _ in known) >= length and widest >= width
    edge_to_edge = sum(wide for _, wide in known) >= width and longest >= length
    four_quarters = len(known) == 4 and 2 * longest >= length and 2 * widest >= width
    return end_to_end or edge_to_edge or four_quarters


def _flat(size: Size | None) -> tuple[int, int] | None:
    return None if size is None else (size.length.ticks, size.width.ticks)
