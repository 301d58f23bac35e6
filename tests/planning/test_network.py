"""The critical path against published tables, to the last cell."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

import pytest

from logbook.errors import InputError
from logbook.model.measures import Effort
from logbook.model.work import Wait
from logbook.planning.network import Times, expected, network_times, operation_times, variance
from tests.builders import operation

# B. W. Taylor, Introduction to Management Science, chapter 8, instructor solutions, first two solution tables
# (activities are arcs i-j): duration, ES, EF, LS, LF, slack.
FIRST = """
1-2 7 0 7 2 9 2
1-3 10 0 10 0 10 0
2-4 6 7 13 9 15 2
3-4 5 10 15 10 15 0
3-5 4 10 14 14 18 4
4-5 3 15 18 15 18 0
5-6 2 18 20 18 20 0
"""
SECOND = """
1-2 8 0 8 1 9 1
1-3 10 0 10 0 10 0
1-4 9 0 9 6 15 6
2-5 6 8 14 9 15 1
2-6 4 8 12 16 20 8
3-5 5 10 15 10 15 0
4-5 0 9 9 15 15 6
4-7 7 9 16 20 27 11
5-7 12 15 27 15 27 0
5-8 15 15 30 16 31 1
6-9 18 12 30 20 38 8
7-8 4 27 31 27 31 0
8-9 7 31 38 31 38 0
"""


def critical(times: Mapping[str, Times]) -> tuple[str, ...]:
    """What has no slack, in the order in which it starts."""
    return tuple(sorted((k for k, t in times.items() if not t.slack), key=lambda k: times[k].earliest_start))


@pytest.mark.parametrize(("table", "length"), [(FIRST, 20), (SECOND, 38)])
def test_published_tables_to_the_last_cell(table: str, length: int) -> None:
    rows = {row.split()[0]: [int(x) for x in row.split()[1:]] for row in table.strip().splitlines()}
    after = {a: [b for b in rows if b.split("-")[1] == a.split("-")[0]] for a in rows}
    found = network_times({a: row[0] for a, row in rows.items()}, after)
    assert {a: [*map(int, t), int(t.slack)] for a, t in found.items()} == {a: row[1:] for a, row in rows.items()}
    assert max(t.earliest_finish for t in found.values()) == length
    assert critical(found) == tuple(a for a, row in rows.items() if not row[5])


# Teaching slides “PERT” (ja.scribd.com/presentation/396883604): three points, expected time and variance printed.
SLIDES = {
    "A": ("", 5, 6, 7, "6", "0.11"), "B": ("", 1, 3, 5, "3", "0.44"), "C": ("", 1, 4, 7, "4", "1.00"),
    "D": ("A", 1, 2, 3, "2", "0.11"), "E": ("B", 1, 2, 9, "3", "1.78"), "F": ("C", 1, 5, 9, "5", "1.78"),
    "G": ("C", 2, 2, 8, "3", "1.00"), "H": ("EF", 4, 4, 10, "5", "1.00"), "I": ("D", 2, 5, 8, "5", "1.00"),
    "J": ("HG", 2, 2, 8, "3", "1.00"),
}  # fmt: skip
# Render and Stair, “General Foundry” (times 2,3,2,4,4,3,5,2 and total printed; predecessors and points from memory).
FOUNDRY = {
    "A": ("", 1, 2, 3), "B": ("", 2, 3, 4), "C": ("A", 1, 2, 3), "D": ("B", 2, 4, 6), "E": ("C", 1, 4, 7),
    "F": ("C", 1, 2, 9), "G": ("DE", 3, 4, 11), "H": ("FG", 1, 2, 3),
}  # fmt: skip


def test_pert_of_the_slides() -> None:
    efforts = {k: Effort(low=v[1], likely=v[2], high=v[3]) for k, v in SLIDES.items()}
    for key, (*_, mean, spread) in SLIDES.items():
        assert expected(efforts[key]) == Fraction(mean)
        assert f"{float(variance(efforts[key])):.2f}" == spread
    found = network_times({k: expected(e) for k, e in efforts.items()}, {k: list(v[0]) for k, v in SLIDES.items()})
    assert critical(found) == ("C", "F", "H", "J")
    assert found["J"].earliest_finish == 17


def test_pert_of_the_foundry() -> None:
    efforts = {k: Effort(low=a, likely=m, high=b) for k, (_, a, m, b) in FOUNDRY.items()}
    found = network_times({k: expected(e) for k, e in efforts.items()}, {k: list(v[0]) for k, v in FOUNDRY.items()})
    assert critical(found) == ("A", "C", "E", "G", "H")
    assert found["H"].earliest_finish == 15
    assert {k: int(t.slack) for k, t in found.items()} == {
        "A": 0, "B": 1, "C": 0, "D": 1, "E": 0, "F": 6, "G": 0, "H": 0,
    }  # fmt: skip
    assert f"{float(sum(variance(efforts[k]) for k in critical(found))):.3f}" == "3.111"


# Published answer to a PERT exercise (wizedu.com/questions/717873): expected times and slack of A to F; the rest
# recomputed for the notes.
EXERCISE = {
    "A": ("", 5, 5, 7), "B": ("", 1, 2, 5), "C": ("A", 5, 5, 5), "D": ("A", 4, 8, 13), "E": ("BC", 1, 10, 17),
    "F": ("D", 1, 5, 7), "G": ("D", 2, 6, 9), "H": ("EF", 4, 4, 6), "I": ("GH", 2, 7, 10), "J": ("I", 2, 4, 7),
    "K": ("I", 6, 10, 13), "L": ("J", 2, 6, 6), "M": ("K", 2, 2, 3), "N": ("LM", 7, 7, 12),
}  # fmt: skip


def test_pert_of_the_exercise() -> None:
    efforts = {k: Effort(low=a, likely=m, high=b) for k, (_, a, m, b) in EXERCISE.items()}
    found = network_times({k: expected(e) for k, e in efforts.items()}, {k: list(v[0]) for k, v in EXERCISE.items()})
    assert critical(found) == tuple("ACEHIKMN")
    assert f"{float(found['N'].earliest_finish):.3f}" == "50.833"
    assert f"{float(sum(variance(efforts[k]) for k in critical(found))):.3f}" == "11.194"
    slack = {k: round(float(found[k].slack), 3) for k in "BDFGJL"}
    assert slack == {"B": 8.0, "D": 1.833, "F": 1.833, "G": 5.0, "J": 2.5, "L": 2.5}


def test_coats_and_waits_make_the_critical_path_of_a_unit() -> None:
    coats = operation("B2", "coats", 40, after=("B1",), times=3, between=Wait(earliest=360), wait=Wait(earliest=1440))
    others = (operation("B1", "sand", 60), operation("K1", "wire", 100), operation("A", "last", 30, after=("B2", "K1")))
    found = operation_times((coats, *others))
    assert critical(found) == ("B1", "B2", "A")
    assert found["A"].earliest_start == 60 + 40 + 2 * 360 + 1440
    assert found["K1"].slack == found["A"].earliest_start - 100


def test_a_wait_moves_what_follows_and_a_circle_is_refused() -> None:
    found = network_times({"a": 1, "b": 2}, {"b": ["a"]}, {("a", "b"): 24})
    assert found["b"].earliest_start == 25
    with pytest.raises(InputError, match=r"wait on each other: a, b"):
        network_times({"a": 1, "b": 2}, {"b": ["a"], "a": ["b"]})
