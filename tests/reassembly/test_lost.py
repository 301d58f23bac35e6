"""Lost at the bench, renewed as another size, here in part: counted, bought and said as it is."""

from __future__ import annotations

from logbook.model.replacements import fastener_uses
from logbook.model.step import Fastener, Step
from logbook.model.unit import Unit
from logbook.reassembly import ledger, readiness, refit_list
from tests.builders import at, fastener, screws, step, unit

NOW = at("2026-03-12 20:00")


def one(*fasteners: Fastener) -> Unit:
    return unit(step("T01", "lid", fasteners=fasteners, bag="1"))


def missing(of: Unit) -> tuple[str, ...]:
    return readiness(of, refit_list(of), NOW)["T01"].missing


def test_a_lost_screw_is_bought_anew_and_stands_in_the_account() -> None:
    of = one(screws(5, kind="screw 3x16"), fastener("screw 3x16", 1, then="lost"))
    total = ledger(of).total
    assert (total.holes, total.found, total.reuse, total.lost, total.refit, total.new) == (6, 6, 5, 1, 6, 1)
    assert total.fates == "5 to use again + 0 to renew + 0 scrap + 1 lost"
    assert ledger(of).bags["1"].kinds == {"screw 3x16": 5}
    assert [(u.kind, u.count, u.why) for u in fastener_uses(of)] == [("screw 3x16", 1, "lost at the bench")]
    assert missing(of) == ("1 new screw 3x16 not here (lost at the bench).",)


def test_what_is_renewed_as_another_size_is_bought_and_fitted_as_that() -> None:
    of = one(fastener("screw 3x16", 4, then="renew", renew_as="screw 3.5x20"))
    assert [(u.kind, u.count, u.why) for u in fastener_uses(of)] == [("screw 3.5x20", 4, "in place of screw 3x16")]
    assert missing(of) == ("4 new screw 3.5x20 not here (in place of screw 3x16).",)


def test_a_need_that_is_here_in_part_says_how_many_lack() -> None:
    of = one(fastener("bush", 8, then="renew", new_here=3))
    assert [(u.count, u.here) for u in fastener_uses(of)] == [(3, True), (5, False)]
    assert missing(of) == ("5 of 8 new bush not here (renewed).",)
    assert missing(one(fastener("bush", 8, then="renew", new_here=8))) == ()


def test_a_lost_one_that_was_missing_anyway_is_one_place() -> None:
    of: Step = step("T01", fasteners=[fastener("nut M4", 2, found=1, then="lost")], bag="1")
    total = ledger(unit(of)).total
    assert (total.holes, total.found, total.lost, total.new) == (2, 1, 1, 2)
