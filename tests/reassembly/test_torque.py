"""The torque for reference: against the published proof loads and a published worked example.

Sources, public copies of the standards: proof loads of coarse threads, EN ISO 898-1
(optimas.com); the factors K and example 8-3, Shigley's Mechanical Engineering Design, 9th edition, table 8-15 and page
439. Three quarters of the proof load for a joint that is taken apart again: the same book, from memory.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.model.step import FastenerDetail, Step
from logbook.model.thread_tables import threads
from logbook.reassembly import refit_list
from logbook.reassembly.torque import (
    CAUTION,
    Finish,
    finish_of,
    rounded,
    torque,
    torque_reference,
    torque_sentences,
)
from tests.builders import fastener, step, unit

# EN ISO 898-1, coarse: thread, proof load of class 4.6, of class 8.8 in N
PROOF_LOADS = [
    ("M3", 1130, 2920),
    ("M3.5", 1530, 3940),
    ("M4", 1980, 5100),
    ("M5", 3200, 8230),
    ("M6", 4520, 11600),
    ("M8", 8240, 21200),
    ("M10", 13000, 33700),
    ("M12", 19000, 48900),
]


def test_the_worked_example_of_the_book() -> None:
    # 3/4-16 UNF grade 5, F = 25 kip, K = 0.2: 3750 lbf in (computed from the figures read there)
    assert torque(Fraction(2, 10), Fraction(3, 4), Fraction(25_000)) == 3750


@pytest.mark.parametrize(("name", "soft", "hard"), PROOF_LOADS)
def test_the_torque_rests_on_the_published_proof_load(name: str, soft: int, hard: int) -> None:
    for strength_class, load in (("4.6", soft), ("8.8", hard)):
        found = torque_reference(f"hex bolt {name}x30", strength_class, Finish.ZINC)
        assert found is not None
        assert (found.proof_load, found.preload) == (load, Fraction(load) * 3 / 4)
        assert found.torque == Fraction(2, 10) * Fraction(name[1:]) / 1000 * Fraction(load) * 3 / 4


def test_m8_of_class_8_8_is_about_25_newton_metres() -> None:
    # 0.75 x 21200 N = 15900 N; 0.2 x 8 mm x 15900 N = 25.4 N m
    found = torque_reference("hex bolt M8x30", "8.8")
    assert found is not None
    assert found.torque == Fraction("25.44")
    assert found.sentence == (
        "For reference only: M8 of class 8.8 about 25 N m (T = K d F; K 0.20, finish not known; F 15900 N, three "
        f"quarters of the ISO 898-1 proof load of 21200 N). {CAUTION}"
    )


@pytest.mark.parametrize(("finish", "factor"), list(zip(Finish, ("0.30", "0.20", "0.18", "0.16", "0.20"), strict=True)))
def test_the_factors_are_those_of_the_table(finish: Finish, factor: str) -> None:
    assert finish.factor == Fraction(factor)
    found = torque_reference("M5", "8.8", finish)
    assert found is not None
    assert f"K {factor}, {finish.words}" in found.sentence


NO_VALUE = [
    ("bolt M8x1", "8.8"),  # fine: the table of proof loads is for coarse threads
    ("bolt M2", "8.8"),  # below M3 the copy has no value
    ("bolt M8", ""),
    ("bolt M8", "10.9"),
    ("bolt M8", "soft"),
    ("bolt 1/4-20", "8.8"),
    ("wood screw 4x40", "8.8"),
    ("something round", "8.8"),
]


@pytest.mark.parametrize(("kind", "strength_class"), NO_VALUE)
def test_what_the_tables_do_not_have_has_no_value(kind: str, strength_class: str) -> None:
    assert torque_reference(kind, strength_class) is None


FINISHES = [
    ("zinc-plated", Finish.ZINC),
    ("Zinc, oiled", Finish.LUBRICATED),
    ("waxed", Finish.LUBRICATED),
    ("plain black", Finish.PLAIN),
    ("cadmium", Finish.CADMIUM),
    ("", Finish.UNKNOWN),
    ("painted green", Finish.UNKNOWN),
]


@pytest.mark.parametrize(("words", "finish"), FINISHES)
def test_the_finish_is_read_from_its_words(words: str, finish: Finish) -> None:
    assert finish_of(FastenerDetail(finish=words)) is finish


def bolts(**detail: str) -> Step:
    return step("T01", "bracket", fasteners=[fastener("bolt M8x16", 4, detail=FastenerDetail(**detail))])


def test_the_value_stands_at_the_refit_marked_as_reference() -> None:
    line = refit_list(unit(bolts(strength_class="8.8"))).by_key["T01"]
    assert "For reference only: M8 of class 8.8 about 25 N m" in line.tighten
    assert "how tight it was found come first" in line.tighten
    assert line.tighten.startswith("Start all 4 by hand")


@pytest.mark.parametrize("detail", [{}, {"strength_class": "8.8", "finish": "hot-dip galvanised"}])
def test_no_value_without_a_class_or_for_galvanised_ones(detail: dict[str, str]) -> None:
    assert list(torque_sentences(bolts(**detail))) == []
    assert "reference" not in refit_list(unit(bolts(**detail))).by_key["T01"].tighten


def test_a_value_is_said_once_for_bolts_that_share_it() -> None:
    detail = FastenerDetail(strength_class="8.8")
    made = step("T01", fasteners=[fastener("bolt M8x16", 2, detail=detail), fastener("bolt M8x30", 2, detail=detail)])
    assert len(list(torque_sentences(made))) == 1


ROUNDED = [("25.44", "25"), ("1.35", "1.4"), ("0.0945", "0.094"), ("117", "120"), ("9.96", "10")]


@pytest.mark.parametrize(("value", "text"), ROUNDED)
def test_two_figures_are_all_that_the_rule_is_good_for(value: str, text: str) -> None:
    assert rounded(Fraction(value)) == text


@given(st.sampled_from([t for t in threads() if t.proof_loads]), st.sampled_from(list(Finish)))
def test_a_harder_screw_bears_more_and_more_friction_asks_for_more(thread: object, finish: Finish) -> None:
    name = thread.name  # type: ignore[attr-defined]
    soft, hard = (torque_reference(name, c, finish) for c in ("4.6", "8.8"))
    plain = torque_reference(name, "8.8", Finish.PLAIN)
    assert soft is not None
    assert hard is not None
    assert plain is not None
    assert soft.torque < hard.torque <= plain.torque
