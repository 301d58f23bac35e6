"""Starters: each can be used, puts cautions first, and a person's own ones are found."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from logbook.checks import Severity, check_unit
from logbook.costing.wants import wants_of
from logbook.errors import InputError
from logbook.model.document import structure_problems
from logbook.model.shop import Shop
from logbook.model.starters import FOLDER, KINDS, nearest, objects_of_class, read_starter, started, starters, suggested
from logbook.model.templates import hazard_classes, template_bytes
from logbook.model.words import Disposition, SignalWord
from logbook.reassembly import refit_list
from tests.builders import at, component, step, unit

ALL = starters().all
NAMES = [s.name for s in ALL]
EIGHT = {
    "mains lamp", "valve radio", "mantel clock", "bench grinder", "chest of drawers", "chair",
    "small motor appliance", "enclosed box with components",
}  # fmt: skip


def test_there_is_one_for_each_of_the_eight_kinds() -> None:
    assert set(NAMES) == EIGHT
    assert starters().problems == ()


@pytest.mark.parametrize("starter", ALL, ids=NAMES)
def test_each_brings_hazards_questions_tests_components_and_hold_points(starter) -> None:  # type: ignore[no-untyped-def]
    assert len(starter.questions) >= 4
    assert len(starter.tests) >= 3
    assert len(starter.components) >= 6
    assert len(starter.all_hazards) >= 2
    assert starter.holds or any(s.refit.hold for s in starter.steps)
    assert starter.make_or_break
    assert all(t.stop_if and t.minutes for t in starter.make_or_break)


@pytest.mark.parametrize("starter", ALL, ids=NAMES)
def test_every_hazard_of_its_own_says_what_to_do_and_defers_to_local_codes(starter) -> None:  # type: ignore[no-untyped-def]
    hazards = [*starter.hazards, *(h for s in starter.steps for h in s.hazards)]
    hazards += [h for c in starter.components for h in c.hazards]
    for hazard in hazards:
        assert hazard.do
        assert "ocal" in hazard.do, hazard.what  # “Local codes …”, or “… as the local authority says”
        if hazard.signal in (SignalWord.DANGER, SignalWord.WARNING):
            assert hazard.prove, hazard.what


MAINS = {"mains lamp", "valve radio", "bench grinder", "small motor appliance", "enclosed box with components"}


@pytest.mark.parametrize("starter", [s for s in ALL if s.name in MAINS], ids=lambda s: s.name)
def test_what_had_a_plug_begins_with_it_out_and_ends_with_a_competent_person(starter) -> None:  # type: ignore[no-untyped-def]
    first = starter.steps[0]
    assert "plug out" in first.what
    assert "Prove dead" in first.hazards[0].prove
    holds = [*starter.holds, *(s.refit.hold for s in starter.steps if s.refit.hold)]
    assert any(h.competent for h in holds)


def test_a_clock_lets_its_springs_down_before_the_plates() -> None:
    clock = starters().named("mantel clock")
    assert any("spring" in h.what and "before a plate is loosened" in h.do for h in clock.hazards)
    assert any(s.action == "spring released" for s in clock.steps)


@pytest.mark.parametrize("starter", ALL, ids=NAMES)
def test_a_unit_can_begin_from_each(starter) -> None:  # type: ignore[no-untyped-def]
    made = started(unit(code="N1", name="a new thing"), starter)
    assert list(structure_problems(made)) == []
    assert made.hazards == starter.all_hazards
    assert [q.what for q in made.arrival.questions] == list(starter.questions)
    assert all(s.planned for s in made.steps)
    wrong = [p for p in check_unit(made, Shop(), at("2026-03-20 18:00")) if p.severity is Severity.WRONG]
    assert wrong == []
    assert refit_list(made).lines == ()  # nothing has come off yet
    undone = refit_list(
        made.model_copy(update={"steps": tuple(s.model_copy(update={"planned": False}) for s in made.steps)})
    )
    assert {s.code for s in made.steps} <= {c for x in undone.lines for c in x.steps} | {
        x.step for x in undone.left_out
    }
    for hold in starter.holds:
        assert hold.what in made.notes


def test_what_the_unit_says_already_stays() -> None:
    lamp = starters().named("mains-lamp")
    before = unit(step("T01", "my own step"), components=[component("LH", "my holder")], notes="mine")
    made = started(before, lamp)
    assert made.steps[0].what == "my own step"
    assert made.components[0].name == "my holder"
    assert made.notes == "mine"
    assert started(made, lamp).arrival == made.arrival


def own(folder: Path, file: str, **fields: object) -> None:
    (folder / FOLDER).mkdir(exist_ok=True)
    (folder / FOLDER / file).write_text(json.dumps(fields, ensure_ascii=False), encoding="utf-8")


def test_a_persons_own_starters_come_first_and_replace_those_of_the_same_name(tmp_path: Path) -> None:
    own(tmp_path, "a.json", name="music box", questions=["Does it play?"])
    own(tmp_path, "b.json", name="Chair", summary="as I do it")
    found = starters(tmp_path)
    assert [s.name for s in found.all][:2] == ["music box", "Chair"]
    assert found.own == {"music box", "Chair"}
    assert found.named("chair").summary == "as I do it"
    assert len(found.all) == 9
    assert found.problems == ()


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"name": "x", "object_class": "flying saucer"}, "no class “flying saucer”"),
        ({"name": "x", "surprise": 1}, "surprise"),
        ({"questions": ["?"]}, "name"),
        ({"name": "x", "steps": [{"code": "T01", "what": "a", "each_of": "Q"}]}, "Q"),
        ({"name": "x", "hazards": [{"signal": "OOPS", "what": "y"}]}, "signal"),
    ],
)
def test_a_broken_one_is_named_with_its_place_and_the_others_still_come(
    tmp_path: Path, fields: dict[str, object], said: str
) -> None:
    own(tmp_path, "broken.json", **fields)
    own(tmp_path, "good.json", name="music box")
    found = starters(tmp_path)
    assert len(found.problems) == 1
    assert "broken.json" in found.problems[0]
    assert said in found.problems[0]
    assert "music box" in [s.name for s in found.all]
    assert {s.name for s in found.all} >= EIGHT


def test_two_of_one_name_are_told(tmp_path: Path) -> None:
    own(tmp_path, "a.json", name="music box")
    own(tmp_path, "b.json", name="Music Box")
    assert "another of your starters" in starters(tmp_path).problems[0]


def test_a_file_that_is_no_json_or_far_too_large_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / FOLDER).mkdir()
    (tmp_path / FOLDER / "a.json").write_bytes(b"\xff\xfe{")
    (tmp_path / FOLDER / "b.json").write_bytes(b" " * 600_000)
    assert len(starters(tmp_path).problems) == 2
    assert "too large" in starters(tmp_path).problems[1]


def test_an_unknown_name_names_the_others() -> None:
    with pytest.raises(InputError, match=r"no starter “tank”. There are: mains lamp, "):
        starters().named("tank")


@pytest.mark.parametrize("kind", KINDS)
def test_each_file_can_be_copied_changed_and_read_again(kind: str) -> None:
    raw = template_bytes(f"{FOLDER}/{kind}.json")
    starter = read_starter(raw, kind)
    changed = starter.model_copy(update={"name": "mine"})
    again = read_starter(changed.model_dump_json(exclude_defaults=True).encode(), "mine.json")
    assert again == changed


SUGGESTED = (
    ("fan", "small motor appliance"),
    ("desk fan", "small motor appliance"),
    ("desk lamp", "mains lamp"),
    ("writing desk", "chest of drawers"),
    ("Kitchen Radio", "valve radio"),
    ("four chairs", "chair"),
    ("wall clock, two trains", "mantel clock"),
    ("bench grinder", "bench grinder"),
    ("small wooden table", None),
    ("old thing", None),
    ("", None),
)


@pytest.mark.parametrize(("name", "starter"), SUGGESTED, ids=[name for name, _ in SUGGESTED])
def test_the_name_of_an_object_suggests_its_starter(name: str, starter: str | None) -> None:
    found = starters()
    first = suggested(found, name)
    assert (first and first.name) == starter
    assert set(nearest(found, name)) == set(found.all)


@pytest.mark.parametrize("starter", ALL, ids=NAMES)
def test_each_word_for_an_object_finds_its_starter_and_its_class(starter) -> None:  # type: ignore[no-untyped-def]
    of = next(each for each in hazard_classes() if each.name == starter.object_class)
    for word in starter.known_as:
        first = suggested(starters(), word)
        assert first is not None
        assert first.name == starter.name
        assert word == of.name or word in objects_of_class(starters(), of)


def test_an_object_without_a_starter_has_its_word_in_the_class_list() -> None:
    called = {each.name: objects_of_class(starters(), each) for each in hazard_classes()}
    assert "kettle" in called["heating appliance"]
    assert "fan" in called["anything with a plug"]


def test_nothing_is_to_buy_for_a_part_that_nobody_has_seen() -> None:
    """The starter of a lamp says that cords are usually renewed; whether this one is, its owner says."""
    made = started(unit(code="L1", name="desk lamp"), starters().named("mains-lamp"))
    cord = next(each for each in made.components if each.name == "mains cord")
    assert cord.note.startswith("From the starter, not seen yet. Usually renewed.")
    assert [line.name for line in wants_of(made, Shop()).lines if not line.here] == []
    seen = cord.model_copy(update={"disposition": Disposition.RENEW})
    parts = tuple(seen if each is cord else each for each in made.components)
    wanted = wants_of(made.model_copy(update={"components": parts}), Shop()).lines
    assert [line.name for line in wanted if not line.here] == ["mains cord"]
