"""The scrap pile as a table, in its own place and in the store, and the piece under the cursor in full."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.layout.pile_view import Look, age_words
from logbook.layout.reservations import conflict_of
from logbook.model.shop import Offcut
from logbook.render.pile_document import for_words, piece_facts, thickness_words, usable_words
from logbook.tui.look.inks import BLANK, Line, flow, group, typed
from logbook.tui.look.wrapping_table import Column, WrappingTable
from logbook.tui.pile_drawing import piece_lines
from logbook.tui.widgets.entries import ListEntry, entry, heading
from logbook.tui.widgets.signs import glyphs_now

COLUMNS = (
    Column(),
    Column("material", least=14),
    Column("measured", right=True),
    Column("usable", right=True),
    Column("value", right=True),
    Column("age", below=True),
    Column("place", least=12, below=True, lead="place"),
    Column("for", least=8, below=True, lead="for"),
)
DRAWN_IN_FULL = 12
"""Rows for the drawing of a piece, above what is known of it."""


def pile_entries(
    pieces: Sequence[Offcut], look: Look, columns: int, *, keyed: str = "", title: str = ""
) -> list[ListEntry]:
    """A table of pieces.

    Args:
        pieces: of the pile, in the order in which they stand.
        look: the pile with who wants what of it.
        columns: of the list.
        keyed: what stands before the number in the key of an entry.
        title: of the table, where others stand in the same list.
    """
    cells = [pile_cells(piece, look) for piece in pieces]
    table = WrappingTable(COLUMNS, cells, columns)
    above = (group(title), table.head) if title else (table.head,)
    entries = [entry(f"{keyed}{piece.code}", table.lines(of)) for piece, of in zip(pieces, cells, strict=True)]
    return [heading("head pile", *above), *entries] if entries else entries


def pile_cells(piece: Offcut, look: Look) -> list[Line]:
    """Number, material, measured, usable, value, age, where it is kept, for whom."""
    claims = look.claims.get(piece.code, ())
    age = age_words(piece, look)
    twice = conflict_of(piece, claims) is not None
    value = "?" if piece.value is None else f"{piece.value}"
    return [
        typed(piece.code, "bold accent"),
        typed(piece.material),
        typed(thickness_words(piece), "" if piece.thickness else "wait"),
        typed(usable_words(piece)),
        typed(value, "muted"),
        typed(age, "wait" if "OLD" in age else "muted"),
        typed(piece.place or "?", "muted"),
        typed(for_words(piece, claims), "bad" if twice else ""),
    ]


def piece_in_full(piece: Offcut, look: Look, columns: int) -> list[Line]:
    """The piece drawn to scale, and everything that is known of it."""
    rows = piece_lines(piece, columns, DRAWN_IN_FULL, glyphs_now())
    for words in piece_facts(piece, look.claims.get(piece.code, ()), look):
        ink = "bad" if words.startswith("CONFLICT") else "wait" if words.startswith(("Not measured", "DAMP")) else ""
        rows += [BLANK, *flow(typed(words, ink), columns)]
    return rows
