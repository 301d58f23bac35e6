"""Lines are exactly as wide as asked, and nothing that must stand whole is cut, whatever a person typed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.render.glyphs import ASCII, FINE, bare, glyphs_for
from logbook.render.plain import clean
from logbook.tui.look.inks import (
    Span,
    apart,
    beside,
    cells_in,
    fit,
    flow,
    group,
    hanging,
    joined,
    line,
    signal,
    text_of,
    width_of,
    wrap,
)

HOSTILE = (
    "",
    "x",
    "drawer [/left] [$primary]",
    "木製の引き出し",
    "e\u0301\u0301clisse",
    "שלום",
    "n" * 300,
    "Ø165 ± 0.5",
    "a b " * 60,
    "👍 ok",
)
EACH = pytest.mark.parametrize("words", HOSTILE)
texts = st.text(max_size=40).map(clean)


@EACH
@pytest.mark.parametrize("columns", [0, 1, 2, 3, 12, 20, 79, 200])
def test_a_fitted_line_is_as_wide_as_asked(words: str, columns: int) -> None:
    assert width_of(fit(line(Span(words, "muted"), "  ", words), columns)) == columns
    assert width_of(apart(line(words), line("kept 21:04"), columns)) == columns
    assert len(cells_in(words, columns)) == columns
    assert width_of(cells_in(words, columns)) == columns


@given(texts, texts, st.integers(0, 60))
def test_widths_hold_for_any_text(one: str, other: str, columns: int) -> None:
    assert width_of(fit(line(Span(one, "bold"), other), columns)) == columns
    assert width_of(apart(line(one), line(other), columns)) == columns
    assert width_of(cells_in(one, columns)) == columns


def test_what_is_cut_ends_with_a_sign_that_says_so() -> None:
    assert text_of(fit(line("drawer ", Span("chest", "bold")), 9)) == "drawer c…"
    assert text_of(fit(line("drawer ", Span("chest", "bold")), 12)) == "drawer chest"
    assert text_of(fit(line("drawer ", "chest"), 7)) == "drawer…"


def test_the_right_end_is_never_cut() -> None:
    assert text_of(apart(line("a very long name of a thing"), line("OVER"), 12)) == "a very… OVER"


@EACH
@pytest.mark.parametrize("columns", [9, 20, 60])
def test_wrapping_keeps_every_letter(words: str, columns: int) -> None:
    whole = words.replace(" ", "")
    head = line(signal("CAUTION", "wait"), " ")
    for rows in (wrap(words, columns), flow((Span(words, "bold"), Span(" end")), columns), hanging(head, words, 40)):
        assert all(width_of(row) <= max(columns, 40 if rows[0][:1] == head[:1] else columns) for row in rows)
        assert whole in "".join(text_of(row) for row in rows).replace(" ", "").replace("CAUTION", "")


def test_inks_that_touch_stay_together() -> None:
    rows = flow((Span("strip A "), Span("P1", "bold"), Span(", then strip B", "muted")), 12)
    assert [text_of(row) for row in rows] == ["strip A P1,", "then strip B"]


def test_blocks_side_by_side() -> None:
    rows = beside([line("a")], [line("b"), line("c")], 4)
    assert [text_of(row) for row in rows] == ["a     b", "      c"]


def test_neighbours_of_one_ink_are_joined() -> None:
    assert joined([Span("a", "bold"), Span("b", "bold"), Span("", "x"), Span("c")]) == (Span("ab", "bold"), Span("c"))


def test_a_group_and_a_signal_read_without_their_inks() -> None:
    assert text_of(group("Held", "twice measured")) == "▎Held  twice measured"
    assert text_of(signal("WARNING", "bad")) == " WARNING "


def test_signs_of_both_sets_are_of_the_same_widths() -> None:
    for name in FINE._fields:
        fine, plain = getattr(FINE, name), getattr(ASCII, name)
        if isinstance(fine, str):
            assert plain.isascii()
            if name != "steps":
                assert width_of(line(fine)) == width_of(line(plain)), name


@EACH
def test_our_own_signs_become_ascii_of_the_same_width(words: str) -> None:
    assert bare(words).isascii()
    ours = "".join(sign for name, sign in FINE._asdict().items() if isinstance(sign, str))
    for sign in ours + "…·×–—≥≤±Ø→►◄▲●◆▎▌":
        assert len(bare(sign)) == 1
        assert bare(sign) != "?"


@pytest.mark.parametrize(
    ("encoding", "terminal", "fine"),
    [
        ("utf-8", "xterm-256color", True),
        ("UTF8", "", True),
        ("utf-8", "linux", False),
        ("utf-8", "dumb", False),
        ("ascii", "xterm", False),
        ("iso8859-1", "xterm", False),
        ("", "xterm", False),
    ],
)
def test_which_signs_a_terminal_gets(encoding: str, terminal: str, fine: bool) -> None:
    assert glyphs_for(encoding, terminal).fine is fine
