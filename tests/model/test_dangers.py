"""When two warnings are of one danger, and what proves a danger gone for how long."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta, timezone

import pytest

from logbook.errors import InputError
from logbook.model.dangers import each_danger, is_electrical, same_danger, sentences
from logbook.model.proofs import (
    initials_of,
    is_live,
    last_instrument,
    not_safe,
    proof_of,
    proof_on_paper,
    proof_words,
    reading_of,
    reading_question,
    readings_of,
    with_proof,
)
from logbook.model.step import Measurement, Proof
from logbook.model.unit import LeftAs, Unit
from logbook.model.words import SignalWord
from tests.builders import at, handed_pair, hazard, mm, step, unit

SAME = [
    ("mains", "mains voltage"),
    ("Mains Voltage", "the  mains"),
    ("mains", "live mains"),
    ("mains power", "mains voltage"),
    ("230 V mains", "mains"),
    ("line voltage", "mains"),
    ("stored charge", "Stored charges"),
    ("stored charge", "charged capacitor"),
    ("stored charge", "charge left in capacitors"),
    ("stored charge", "residual charge"),
    ("spring", "spring under load"),
    ("spring under load", "springs under tension"),
    ("glass and hot parts", "hot parts and glass"),
    ("lead paint", "Lead  paint"),
    ("wheel burst", "wheel burst and guard gaps"),
    ("bursting wheel", "grinding wheel burst"),
]
OTHERS = [
    ("mains", "stored charge"),
    ("mains voltage", "stored voltage"),
    ("mains", "chassis may be at mains"),
    ("stored charge", "stored charge in the run capacitor"),
    ("stored charge of the run capacitor", "stored charge of the filter capacitor"),
    ("spring", "mainspring"),
    ("spring under load", "spring of the switch"),
    ("wheel burst", "burst of the vacuum bottle"),
    ("guard gaps", "wheel burst"),
    ("fire", "fire and fumes"),
    ("mercury", "mercury vapour and glass"),
    ("glass", "glass edges"),
    ("main spring", "mains"),
    ("charge", "discharge lamp"),
]


@pytest.mark.parametrize(("one", "other"), SAME)
def test_two_ways_of_writing_one_danger_are_the_same(one: str, other: str) -> None:
    assert same_danger(one, other)
    assert same_danger(other, one)


@pytest.mark.parametrize(("one", "other"), OTHERS)
def test_two_dangers_stay_two(one: str, other: str) -> None:
    assert not same_danger(one, other)
    assert not same_danger(other, one)


def test_a_name_of_signs_alone_is_only_the_same_as_itself() -> None:
    assert same_danger("⚡", "⚡")
    assert not same_danger("⚡", "☢")
    assert not same_danger("the", "of")


@pytest.mark.parametrize(
    ("danger", "electrical"),
    [
        ("mains", True),
        ("mains voltage", True),
        ("stored charge", True),
        ("stored charge in the run capacitor", True),
        ("chassis may be at mains", False),
        ("spring under load", False),
        ("radium", False),
    ],
)
def test_a_voltage_proves_mains_and_charge_gone_and_nothing_else(danger: str, electrical: bool) -> None:
    assert is_electrical(danger) is electrical


def test_each_danger_stands_once_with_its_worst_word_and_all_advice() -> None:
    stated = [
        hazard("mains voltage", "Unplug. Tag the plug", "Prove dead."),
        hazard("glass", "gloves", signal=SignalWord.CAUTION),
        hazard("mains", "Unplug. Take the fuse out.", "Prove dead.", signal=SignalWord.DANGER),
    ]
    mains, glass = each_danger(stated)
    assert (mains.what, mains.signal) == ("mains voltage", SignalWord.DANGER)
    assert mains.do == "Unplug. Tag the plug Take the fuse out."
    assert mains.prove == "Prove dead."
    assert glass == stated[1]


def test_sentences_are_whole_and_end_in_a_stop() -> None:
    assert sentences("Stop if open, and no donor. Else go on") == ["Stop if open, and no donor.", "Else go on."]
    assert sentences("  ") == []


READINGS = [
    ("mains voltage", "0.2 V", "0.2 V"),
    ("mains voltage", "0.2", "0.2 V"),
    ("mains voltage", " 0,2 ", "0,2 V"),
    ("mains voltage", "<1", "<1 V"),
    ("mains voltage", "200 mV", "200 mV"),
    ("mains voltage", "9.9 V", "9.9 V"),
    ("stored charge", "0.4 V, 0.2 V", "0.4 V, 0.2 V"),
    ("mains voltage", "230", "230 V"),
    ("stored charge", "0.4 V, 310 V", "0.4 V, 310 V"),
    ("spring under load", "turns freely", "turns freely"),
    ("spring under load", "0", "0"),
]
REFUSED = [
    ("mains voltage", "3 ohm", "is no voltage"),
    ("mains voltage", "x", "“x” is no voltage: mains voltage is proved dead by one, like 0.2 V."),
    ("mains", "tester stays dark", "is no voltage"),
    ("stored charge", "V", "is no voltage"),
    ("mains voltage", "  ", "What was measured?"),
    ("radium", "", "What was checked?"),
]


@pytest.mark.parametrize(("danger", "typed", "kept"), READINGS)
def test_a_reading_is_kept_as_typed_and_a_bare_number_is_in_volts(danger: str, typed: str, kept: str) -> None:
    assert reading_of(danger, typed) == kept


# Below 10 V counts as dead: common practice, no source; the local code comes first.
LIVE = [
    ("mains", "230 V", True),
    ("mains", "10 V", True),
    ("mains", "0.23 kV", True),
    ("stored charge", "0.4 V, 310 V", True),
    ("mains", "1,500 V", True),
    ("mains", "1.500 V", True),
    ("mains", "12 000 V", True),
    ("mains", "1,500.5 V", True),
    ("mains", "9.9 V", False),
    ("mains", "0.200 V", False),
    ("mains", "0,2 V", False),
    ("mains", "230 mV", False),
    ("spring under load", "230 V", False),
]


@pytest.mark.parametrize(("danger", "reading", "live"), LIVE)
def test_a_reading_of_ten_volts_or_more_is_live(danger: str, reading: str, live: bool) -> None:
    assert is_live(danger, reading) is live


@pytest.mark.parametrize(("danger", "asked"), [("mains", "What was measured?"), ("spring", "What was checked?")])
def test_the_question_fits_the_danger(danger: str, asked: str) -> None:
    assert reading_question(danger) == asked


def test_somebody_stands_for_the_reading_of_an_electrical_danger() -> None:
    assert initials_of("mains", " AB ") == "AB"
    assert initials_of("spring", " ") == ""
    with pytest.raises(InputError, match="Whose reading is it"):
        initials_of("stored charge", "  ")


@pytest.mark.parametrize(("danger", "typed", "why"), REFUSED)
def test_what_proves_nothing_is_refused_in_a_sentence(danger: str, typed: str, why: str) -> None:
    with pytest.raises(InputError, match=why):
        reading_of(danger, typed)


EVENING = at("2026-03-12 21:00")


def proof(danger: str = "mains", reading: str = "0.2 V", when: str = "2026-03-12 20:41", **more: str) -> Proof:
    return Proof(danger=danger, reading=reading, at=at(when), **more)


def test_a_proof_says_reading_instrument_who_when_and_at_which_step() -> None:
    of = unit(hazards=[hazard()], proofs=[proof(instrument="meter", by="AB", step="T04")])
    assert proof_words(of, of.hazards[0], EVENING) == "proved safe at 20:41: 0.2 V, meter, AB"
    assert proof_on_paper(of, of.hazards[0], EVENING).endswith(": 0.2 V, meter, AB; on another day prove it again")


def test_a_proof_of_another_day_is_to_be_taken_again() -> None:
    of = unit(hazards=[hazard()], proofs=[proof(by="AB")])
    words = proof_words(of, of.hazards[0], EVENING + timedelta(days=1))
    assert words == "proved on 12 Mar, prove again before you go on (0.2 V, AB)"
    found = proof_of(of, "mains voltage")
    assert found is not None
    assert found.holds(EVENING)
    assert not found.holds(EVENING + timedelta(days=1))


def test_the_day_is_that_of_the_place_and_not_of_utc() -> None:
    of = unit(proofs=[proof(when="2026-03-12 23:30")])
    found = proof_of(of, "mains")
    assert found is not None
    east = timezone(timedelta(hours=2))
    assert found.holds(datetime(2026, 3, 13, 9, 0, tzinfo=east)), "half past one in the morning there"
    assert not found.holds(datetime(2026, 3, 13, 9, 0, tzinfo=UTC))


def test_a_proof_without_a_time_holds_no_longer() -> None:
    of = unit(hazards=[hazard()], proofs=[Proof(danger="mains", reading="0.2 V")])
    assert "nobody knows when" in proof_words(of, of.hazards[0], EVENING)


def test_the_latest_proof_counts_wherever_it_stands() -> None:
    early = step("T01", hazards=[hazard()], measurements=[Measurement(what="terminals", text="0.4 V", at=EVENING)])
    own = step("T02", proofs=[proof(reading="0.3 V", when="2026-03-12 21:10")])
    between = proof(reading="0.1 V", when="2026-03-12 21:05")
    found = proof_of(unit(early, own, proofs=[between]), "mains voltage")
    assert found is not None
    assert (found.reading, found.step, found.path) == ("0.3 V", "T02", ("steps", "T02", "proofs", 0))


def test_a_later_live_reading_takes_the_proof_back_and_a_dead_one_after_it_proves_again() -> None:
    live = proof(reading="230 V", when="2026-03-12 20:50")
    of = unit(step("T01", proofs=[live]), hazards=[hazard()], proofs=[proof()])
    assert proof_words(of, of.hazards[0], EVENING) == "230 V read at 20:50: not dead"
    assert proof_words(of, of.hazards[0], EVENING + timedelta(days=1)) == "230 V read on 12 Mar: not dead"
    assert proof_on_paper(of, of.hazards[0], EVENING) == "230 V read 12 Mar 2026 20:50: not dead"
    found = proof_of(of, "mains")
    assert found is not None
    assert not found.holds(EVENING)
    again = with_proof(of, proof(when="2026-03-12 20:55"))
    assert proof_words(again, of.hazards[0], EVENING).startswith("proved safe at 20:55")


def test_a_live_voltage_measured_at_a_step_that_names_the_danger_takes_the_proof_back() -> None:
    measured = step("T01", hazards=[hazard()], measurements=[Measurement(what="probe", text="230 V", at=EVENING)])
    of = unit(measured, proofs=[proof()])
    assert proof_words(of, hazard(), EVENING) == "230 V read at 21:00: not dead"


@pytest.mark.parametrize("reading", ["x", "stays dark", "3 ohm"])
def test_words_prove_no_electrical_danger_even_in_a_record_that_came_from_elsewhere(reading: str) -> None:
    of = unit(hazards=[hazard()], proofs=[proof(reading=reading)])
    assert proof_words(of, of.hazards[0], EVENING) == "not proved safe"


def test_a_length_measured_at_a_step_with_mains_proves_nothing_about_it() -> None:
    cord = step("T01", hazards=[hazard()], measurements=[Measurement(what="cord", value=mm("1800"))])
    assert proof_of(unit(cord), "mains") is None
    rest = step("T01", hazards=[hazard("wheel burst")], measurements=[Measurement(what="gap", value=mm("3"))])
    assert proof_of(unit(rest), "wheel burst") is not None


def test_a_proof_of_one_danger_proves_no_other() -> None:
    of = unit(hazards=[hazard(), hazard("stored charge")], proofs=[proof("mains")])
    assert proof_of(of, "stored charge") is None


def test_a_caution_that_nobody_can_prove_says_nothing() -> None:
    dust = hazard("dust", "Mask.", "", signal=SignalWord.CAUTION)
    assert proof_words(unit(hazards=[dust]), dust, EVENING) == ""
    assert proof_on_paper(unit(hazards=[dust]), dust, EVENING) == ""


def test_the_instrument_of_the_last_time_is_offered_again() -> None:
    assert last_instrument(unit(), "mains") == "meter"
    assert last_instrument(unit(), "spring") == ""
    of = with_proof(unit(), proof(instrument="two-pole tester"))
    of = with_proof(of, proof("spring", "turns freely", instrument="key"))
    assert last_instrument(of, "stored charge") == "two-pole tester"
    assert last_instrument(of, "spring of the reel") == "key"


def test_proofs_and_how_it_was_left_go_out_and_come_in_as_they_are() -> None:
    left = LeftAs(held_by="two clamps", beware="turn it over", by="AB", at=EVENING)
    of = unit(step("T01", proofs=[proof(instrument="meter")]), proofs=[proof(by="AB", step="T02")], left_as=left)
    assert Unit.model_validate_json(of.model_dump_json()) == of
    older = of.model_dump(mode="json", exclude={"proofs": True, "left_as": True})
    assert Unit.model_validate_json(json.dumps(older)).proofs == (), "a book of before needs no migration"


PAIR = handed_pair()


def at_one(member: str, reading: str = "0.2 V", when: str = "2026-03-12 20:41") -> Proof:
    return proof(reading=reading, when=when).model_copy(update={"member": member})


@pytest.mark.parametrize(
    ("proofs", "words"),
    [
        ([at_one("R", "0.3 V")], "not proved safe: L not measured, only R 0.3 V"),
        ([at_one("R", "0.3 V"), at_one("L", when="2026-03-12 20:50")], "proved safe at 20:41: L 0.2 V, R 0.3 V"),
        ([at_one("R", "230 V"), at_one("L", when="2026-03-12 20:50")], "230 V read at R at 20:41: not dead"),
        ([at_one("L"), proof(when="2026-03-12 20:50")], "proved safe at 20:50: 0.2 V"),
        ([proof(), at_one("R", "230 V", "2026-03-12 20:50")], "230 V read at R at 20:50: not dead"),
        ([proof(), at_one("R", "0.3 V", "2026-03-12 20:50")], "proved safe at 20:41: 0.2 V, R 0.3 V"),
    ],
)
def test_what_was_read_at_one_of_a_pair_proves_nothing_of_the_other(proofs: list[Proof], words: str) -> None:
    of = unit(sets=[PAIR], hazards=[hazard()], proofs=proofs)
    assert proof_words(of, of.hazards[0], EVENING).startswith(words)
    assert (not not_safe(of, of.hazards, EVENING)) is words.startswith("proved safe")


def test_readings_are_typed_with_the_name_of_the_member() -> None:
    of = unit(sets=[PAIR])
    assert readings_of(of, "mains", "L 0.2, R 0.3 V") == (("L", "0.2 V"), ("R", "0.3 V"))
    assert readings_of(of, "mains", "0.2") == (("", "0.2 V"),)
    with pytest.raises(InputError, match="is no voltage"):
        readings_of(of, "mains", "R cold")
