"""Proving a danger gone in the line of a step: read, printed, read again, kept, and asked about where it is open."""

from __future__ import annotations

import pytest

from logbook.model.proofs import proof_of
from logbook.model.step import Proof
from logbook.model.unit import Unit
from logbook.teardown.bench_line import read_line
from logbook.teardown.beside_the_step import open_dead, proof_refused
from logbook.teardown.complete_line import completions
from logbook.teardown.step_keeping import kept_from_line, line_of
from logbook.teardown.write import write_line
from tests.builders import at, component, handed_pair, hazard, step, unit

BARE = unit()
LAMP = unit(hazards=[hazard()])
RADIO = unit(hazards=[hazard(), hazard("stored charge"), hazard("spring under load")])

ROUND: list[tuple[Unit, str, tuple[str, str, str]]] = [
    (LAMP, "dead 0.2 V", ("mains voltage", "0.2 V", "")),
    (LAMP, "dead 0.2 V meter", ("mains voltage", "0.2 V", "meter")),
    (LAMP, "dead 0,2 V", ("mains voltage", "0,2 V", "")),
    (LAMP, "dead 40 mV two-pole tester", ("mains voltage", "40 mV", "two-pole tester")),
    (LAMP, "proved mains 0.2 V", ("mains", "0.2 V", "")),
    (LAMP, "proved mains 0.2 V meter", ("mains", "0.2 V", "meter")),
    (LAMP, "proved stored charge 0.4 V meter", ("stored charge", "0.4 V", "meter")),
    (LAMP, "dead 230 V", ("mains voltage", "230 V", "")),
    (LAMP, "proved mains 230 V meter", ("mains", "230 V", "meter")),
    (BARE, "proved mains 0.2 V AC meter", ("mains", "0.2 V AC", "meter")),
    (BARE, "warning mains, dead 0.1 V", ("mains", "0.1 V", "")),
    (RADIO, "warning stored charge, dead 0.1 V", ("stored charge", "0.1 V", "")),
    (RADIO, "proved spring turns freely", ("spring", "turns freely", "")),
    (RADIO, "proved spring under load turns freely with key", ("spring under load", "turns freely", "key")),
    (RADIO, 'proved "a, b" "c 3" "d"', ("a, b", "c 3", "d")),
]


@pytest.mark.parametrize(("of", "text", "said"), ROUND, ids=[r[1] for r in ROUND])
def test_a_phrase_is_read_kept_and_printed_as_the_same_line(of: Unit, text: str, said: tuple[str, str, str]) -> None:
    line = f"plug, {text}"
    reading = read_line(line, of)
    (proof,) = reading.step.proofs
    assert (proof.danger, proof.reading, proof.instrument) == said
    assert not reading.unknown
    kept = kept_from_line(of, reading, at=at("2026-03-12 20:41"), by="AB")
    assert kept.steps[-1].proofs == (proof.model_copy(update={"at": at("2026-03-12 20:41"), "by": "AB"}),)
    assert line_of(kept, kept.steps[-1].model_copy(update={"by": ""})) == line


def test_a_reading_at_one_of_a_pair_is_kept_for_it_alone_and_printed_as_the_same_line() -> None:
    of = unit(hazards=[hazard()], sets=[handed_pair()])
    line = "plug, each LR, L dead 0.2 V meter, R dead 0.3 V"
    kept = kept_from_line(of, read_line(line, of), at=at("2026-03-12 20:41"), by="AB")
    (last,) = kept.steps
    assert [(p.member, p.reading, p.instrument) for p in last.proofs] == [("L", "0.2 V", "meter"), ("R", "0.3 V", "")]
    assert line_of(kept, last.model_copy(update={"by": ""})) == line
    found = proof_of(kept, "mains voltage")
    assert found is not None
    assert (found.reading, found.unread) == ("L 0.2 V, R 0.3 V", ())


OTHER_WAYS = [
    (LAMP, "dead 0.2", "dead 0.2 V"),
    (LAMP, "proven mains 0.2 V with a meter", "proved mains 0.2 V meter"),
    (LAMP, "DEAD 0.2 V", "dead 0.2 V"),
    (LAMP, "proved mains voltage 0.2 V", "dead 0.2 V"),
]


@pytest.mark.parametrize(("of", "typed", "printed"), OTHER_WAYS)
def test_other_ways_of_saying_it_are_printed_in_one_way(of: Unit, typed: str, printed: str) -> None:
    assert write_line(read_line(f"plug, {typed}", of).step, unit=of) == f"plug, {printed}"


REFUSED = [
    (LAMP, "proved mains 3 ohm", "is no voltage"),
    (LAMP, "proved mains x", "“x” is no voltage"),
    (LAMP, "proved mains stays dark with two-pole tester", "“stays dark” is no voltage"),
    (RADIO, "dead 0.2 V", "What is dead, mains voltage or stored charge? Say: proved mains voltage 0.2 V."),
    (BARE, "dead 0.2 V", "No electrical danger is written down yet. Say which it is: proved mains 0.2 V."),
]


@pytest.mark.parametrize(("of", "text", "why"), REFUSED)
def test_what_proves_nothing_stands_in_the_note_with_a_sentence_why(of: Unit, text: str, why: str) -> None:
    reading = read_line(f"plug, {text}", of)
    assert reading.step.proofs == ()
    assert reading.step.note == text
    assert why in reading.problems[0]
    if not text.startswith("dead 0.2") or of is BARE:
        assert why in proof_refused(reading, "AB"), "it is not kept as a mere note"


@pytest.mark.parametrize(
    ("typed", "by", "refused"),
    [
        ("plug, dead 0.2 V", "", True),
        ("plug, dead 0.2 V, by CD", "", False),
        ("plug, dead 0.2 V", "AB", False),
        ("door, dead bolt", "", False),
        ("plug, proved spring turns freely", "", False),
    ],
)
def test_a_voltage_that_nobody_stands_for_is_not_kept(typed: str, by: str, refused: bool) -> None:
    of = unit(hazards=[hazard(), hazard("spring under load")])
    assert ("Whose reading is it?" in proof_refused(read_line(typed, of), by)) is refused


@pytest.mark.parametrize("line", ["plug, dead 230 V", "plug, dead 0.2 V"])
def test_a_live_reading_written_into_an_old_step_counts_from_now(line: str) -> None:
    morning, noon, evening = (at(f"2026-03-12 {hour}:00") for hour in ("09", "12", "18"))
    own = Proof(danger="mains voltage", reading="0.1 V", by="AB", at=morning)
    between = Proof(danger="mains voltage", reading="0.2 V", by="AB", at=noon)
    of = unit(step("T01", "plug", at=morning, by="AB", proofs=[own]), hazards=[hazard()], proofs=[between])
    kept = kept_from_line(of, read_line(f"{line}, by AB", of, base=of.steps[0]), at=evening)
    found = proof_of(kept, "mains")
    assert found is not None
    assert (found.at, found.holds(evening)) == ((evening, False) if "230" in line else (noon, True))


@pytest.mark.parametrize("text", ["dead", "dead bolt", "proved", "proved mains", "proved 0.2 V"])
def test_half_a_phrase_is_no_proof(text: str) -> None:
    assert read_line(f"door, {text}", BARE).step.proofs == ()
    assert read_line(f"door, {text}", LAMP).step.proofs == ()


def test_which_one_is_dead_is_asked_by_name_and_put_into_the_line() -> None:
    line = "capacitor, dead 0.2 V meter, bag 1"
    dead = open_dead(read_line(line, RADIO), RADIO)
    assert dead is not None
    assert dead.dangers == ("mains voltage", "stored charge")
    named = dead.named(line, "stored charge")
    assert named == "capacitor, proved stored charge 0.2 V meter, bag 1"
    assert open_dead(read_line(named, RADIO), RADIO) is None


def test_a_danger_of_a_component_or_of_an_earlier_step_can_be_proved_by_dead() -> None:
    kept = unit(components=[component("RC", hazards=[hazard("stored charge in the run capacitor")])])
    assert read_line("cover, dead 0.3 V", kept).step.proofs[0].danger == "stored charge in the run capacitor"
    before = unit(step("T01", hazards=[hazard("mains")]))
    assert read_line("cover, dead 0.3 V", before).step.proofs[0].danger == "mains"


def test_a_reading_put_right_is_as_old_as_it_was() -> None:
    taken = Proof(danger="mains", reading="0.2 V", instrument="meter", by="AB", at=at("2026-03-12 20:41"))
    of = unit(step("T01", "plug", proofs=[taken], at=at("2026-03-12 20:40")), hazards=[hazard()])
    reading = read_line("plug, proved mains 0.3 V meter", of, base=of.steps[0])
    kept = kept_from_line(of, reading, at=at("2026-03-14 9:00".replace(" 9", " 09")), by="CD")
    (proof,) = kept.steps[0].proofs
    assert (proof.reading, proof.at, proof.by) == ("0.3 V", taken.at, "AB")


def test_a_proof_added_to_an_old_step_is_as_old_as_the_step() -> None:
    of = unit(step("T01", "plug", at=at("2026-03-12 20:40"), by="AB"), hazards=[hazard()])
    reading = read_line("plug, dead 0.2 V, by AB", of, base=of.steps[0])
    kept = kept_from_line(of, reading, at=at("2026-03-14 09:00"))
    found = proof_of(kept, "mains")
    assert found is not None
    assert not found.holds(at("2026-03-14 09:00")), "nobody knows that it was measured again today"


def test_a_planned_step_done_now_proves_now() -> None:
    of = unit(step("T01", "plug", planned=True, hazards=[hazard()]))
    reading = read_line("plug, warning mains voltage, dead 0.2 V", of, base=of.steps[0])
    kept = kept_from_line(of, reading, at=at("2026-03-14 09:00"), by="AB")
    found = proof_of(kept, "mains")
    assert found is not None
    assert found.holds(at("2026-03-14 09:00"))


def test_the_words_are_completed_and_no_reading_is_ever_offered() -> None:
    assert completions("plug, dea", LAMP)[0] == "plug, dead "
    assert completions("plug, pro", RADIO)[:2] == ("plug, proved mains voltage ", "plug, proved stored charge ")
