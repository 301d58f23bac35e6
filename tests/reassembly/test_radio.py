"""The table radio worked through from end to end: the list, the counts, what is ready, ticks, closing.

The expected figures were worked by hand from the example, not by the program.
"""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise

import pytest

from logbook.errors import InputError
from logbook.model.proofs import with_proof
from logbook.model.step import Proof
from logbook.reassembly import (
    LineKind,
    count_bag,
    free_of_each_other,
    ledger,
    left_over,
    readiness,
    ready_order,
    refit_list,
    standing,
    tick,
    tick_range,
    write_reading,
)
from tests.reassembly.radio import NOW, radio, ready_radio

ORDER = "check T18 T17 T16 T15 T14 T13 T12 T11 T10 T09 T08 T07 T06 T05 T04 T03 T02 audit".split()  # noqa: SIM905
FIRST_AT = {"T17": "A02a", "T12": "A07a", "T09": "A10a", "T06": "A13a"}
"""Where something goes on first: screws under the cloth, upper bushes and tubes, the entry bush, sleeves."""


def test_the_list_is_a01_to_a19_as_worked_by_hand() -> None:
    lst = refit_list(radio())
    of_steps = [x for x in lst.lines if x.kind is not LineKind.FIRST]
    assert [x.key for x in of_steps] == ORDER
    assert [x.number for x in of_steps] == [f"A{i:02d}" for i in range(1, 20)]
    before = {b.key: a for a, b in pairwise(lst.lines) if a.kind is LineKind.FIRST}
    assert {key: a.number for key, a in before.items()} == FIRST_AT
    assert all(a.key == f"{key}:first" for key, a in before.items())
    assert lst.by_key["check"].steps == ("T19", "T20", "T21", "T22")
    assert [(x.step, x.why) for x in lst.left_out] == [("T01", "it was recorded only, so nothing goes back")]
    assert [n.step for n in lst.as_found_wrong] == ["T09"]
    assert lst.prefers == (("T11", "T04"),)


def test_titles_say_what_goes_back() -> None:
    titles = {x.key: x.title for x in refit_list(radio()).lines}
    assert titles["T13"] == "refit speaker"
    assert titles["T02"] == "refit back panel"
    assert titles["T10"] == "pointer to low stop set"
    assert titles["check"] == "check: B01-B14 done, held dimensions, bags counted"


def test_each_of_the_six_changes_shows_on_its_line() -> None:
    lines = refit_list(radio()).by_key
    assert lines["check"].hold is not None
    assert lines["check"].hold.code == "H1"
    assert any("Built anew by B01-B14" in s for s in lines["check"].what)
    assert lines["T10"].settings[0].value == "12 mm right of the scale's left end"
    remake = lines["T17"].remake
    assert remake is not None
    assert remake.wait == 24 * 60
    assert "diagonal" in lines["T11"].tighten
    assert lines["T12:first"].first == ("upper bushes and tubes (of T11) threaded on or in place.",)
    assert lines["T09:first"].first == ("entry bush on the cord.", "P-clip (of T08) threaded on or in place.")
    assert any("Went on first at A10a: P-clip" in s for s in lines["T08"].what)
    assert lines["T06:first"].first == ("Sleeve on W2: 25 mm.",)
    assert lines["T03"].kind is LineKind.TEST
    assert lines["T03"].hold is not None
    assert lines["T03"].hold.competent


def test_counts_as_worked_by_hand() -> None:
    account = ledger(radio())
    t = account.total
    assert (t.holes, t.found, t.reuse, t.renew, t.scrap, t.refit, t.new) == (103, 102, 50, 18, 34, 77, 27)
    assert {bag: c.total for bag, c in account.bags.items()} == {
        "1": 5, "2": 8, "3": 3, "4": 12, "5": 8, "6": 4, "7": 2, "8": 4, "9": 4,
    }  # fmt: skip
    assert account.open == ()
    lst = refit_list(radio())
    assert sum(f.count for x in lst.lines for f in x.fasteners) == 77
    assert sum(f.count for x in lst.lines for f in x.fasteners if f.new) == 27
    assert "50 from the bags and 27 new make 77 refitted; difference 0." in lst.by_key["audit"].what
    made = {c.code: c for c in account.connections}
    assert {c: e.key for c, e in made.items() if e.key} == {
        "W1": "T02", "W2": "T06", "W3": "T06", "W6": "T09", "W7": "T09",
    }  # fmt: skip
    assert {c: e.why for c, e in made.items() if not e.key} == {
        "W4": "it was not undone, only named",
        "W5": "it was not undone, only named",
    }


def test_a_washer_short_in_bag_5_stands_at_the_speaker_until_it_is_explained() -> None:
    short = count_bag(ready_radio(), "5", "shakeproof washer M4", 3, at=NOW)
    assert ledger(short).open[0].steps == ("T13",)
    lst = refit_list(short)
    at_line = {k: r for k, r in readiness(short, lst, NOW).items() if any("bag 5" in s for s in r.reasons)}
    assert set(at_line) == {"T13", "audit"}
    ready = readiness(short, lst, NOW)
    before = [x for x in ready["T13"].reasons if x not in ready["T13"].missing]
    held_up = ["A04 refit baffle is not done.", "hold point H1 at A01 has no reading and no initials."]
    assert before == held_up, "the difference alone does not keep the line from being ticked"
    explained = count_bag(short, "5", "shakeproof washer M4", 3, "rolled under the bench; new one fitted", at=NOW)
    assert ledger(explained).open == ()
    assert len(explained.refit.counts) == 1


def test_nothing_is_in_reach_while_the_case_is_not_built() -> None:
    unit, lst = radio(), refit_list(radio())
    now = standing(unit, lst, NOW)
    assert (now.done, now.in_reach, now.total, now.frees) == (0, 0, 23, None)
    assert ready_order(unit, lst, NOW) == ()
    reasons = readiness(unit, lst, NOW)["check"].reasons
    assert list(reasons) == ["B01-B14 (14 pieces of work) not done; the first is B01 work B01."]


def test_one_missing_cord_is_said_to_free_what_waits_for_it() -> None:
    """Cord missing: A11, then A12 and A17 wait; A18 and the audit wait for the hold point of A17 as well.

    The other 14 can be done, in order, and the four lines of what goes on first.
    """
    unit = write_reading(ready_radio("N3"), "check", "452.0, 276.0, 210.2", "AB", NOW)
    lst = refit_list(unit)
    now = standing(unit, lst, NOW)
    assert (now.in_reach, now.total, now.frees) == (18, 23, ("the new mains cord", 3))
    assert now.sentence == "18 of 23 lines are in reach; the new mains cord would free 3 more."
    numbers = [f"A{i:02d}" for i in (*range(1, 11), 13, 14, 15, 16)]
    assert [x.number for x in ready_order(unit, lst, NOW)] == sorted([*numbers, *FIRST_AT.values()])
    assert readiness(unit, lst, NOW)["T09"].missing == ("new mains cord not here (to buy).",)


def test_nothing_is_ready_past_the_first_hold_point_until_it_is_read() -> None:
    unit = ready_radio("N3")
    lst = refit_list(unit)
    now = standing(unit, lst, NOW)
    assert now.sentence == "1 of 23 lines is in reach; hold point H1 at A01 would free 17 more."
    assert [x.number for x in ready_order(unit, lst, NOW)] == ["A01"]
    ready = readiness(unit, lst, NOW)
    assert "hold point H1 at A01 has no reading and no initials." in ready["T18"].reasons
    assert ready["T18"].holds == (), "A01 itself is still to be done, and says what it keeps back"


def test_ticked_through_from_the_first_line_to_closing() -> None:
    unit = ready_radio()
    unit = tick(unit, "check", at=NOW, initials="AB", reading="452.0, 276.0, 210.2")
    unit = tick(unit, "T18", at=NOW)
    with pytest.raises(InputError, match=r"A03 .* is not ready: A02a first: .* before grille cloth is not done"):
        tick(unit, "T17", at=NOW)
    unit = tick_range(unit, "A02a-A03", NOW, "AB")
    with pytest.raises(InputError, match="A03 refit grille cloth is curing; wait until 2 Jun 2026 18:00"):
        tick(unit, "T16", at=NOW + timedelta(hours=23))
    later = NOW + timedelta(hours=24)
    unit = tick(unit, "T16", at=later)
    unit = tick_range(unit, "A05-A16", later, "AB")
    assert [x.about for x in left_over(unit)] == ["T03", "T02", "audit"]
    with pytest.raises(InputError, match="hold point H3"):
        tick_range(unit, "A17", later, "AB")
    with pytest.raises(InputError, match="stored charge is not proved safe"):
        tick(unit, "T03", at=later, initials="CD", reading="over 20 megohm")
    unit = with_proof(unit, Proof(danger="stored charge", reading="0.3 V", instrument="meter", by="CD", at=later))
    unit = tick(unit, "T03", at=later, initials="CD", reading="over 20 megohm")
    unit = tick_range(unit, "A18-A19", later, "AB")
    assert left_over(unit) == ()
    done = standing(unit, refit_list(unit), later)
    assert (done.done, done.sentence) == (23, "All 23 lines are done.")


def test_lines_free_of_each_other() -> None:
    """By depth in the refit; the same steps were free of each other in the teardown."""
    groups = [set(g) for g in free_of_each_other(radio())]
    assert {"T10", "T09:first", "T07", "T06:first", "T05"} in groups
    assert {"T15", "T13"} in groups
