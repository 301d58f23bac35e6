"""The guide says what there is, and all of it: held to the program's own tables of keys, commands and fields."""

from __future__ import annotations

import re
import tomllib
from contextlib import nullcontext
from datetime import UTC, datetime

import pytest

from logbook.cli.arguments import COMMANDS, parsers, read
from logbook.errors import InputError
from logbook.layout.pile_line import read_piece
from logbook.model.base import Frozen
from logbook.model.casework_records import Case
from logbook.model.fields import FieldKind, offered_fields
from logbook.model.guide_pages import TOPICS, BlockKind, GuidePage, guide, guide_page, read_page
from logbook.model.one_line import read_line as read_new
from logbook.model.shop import Shop
from logbook.model.templates import demo_documents
from logbook.model.typed_values import Context
from logbook.model.unit import Unit
from logbook.reassembly import refit_list
from logbook.reassembly.paper_ticks import read_paper_ticks
from logbook.reassembly.progress import lines_in_range
from logbook.render.guide_document import guide_text, topics_text
from logbook.session.papers import Paper
from logbook.teardown.bench_line import read_line
from logbook.tui.actions import EVERYWHERE, SECTIONS
from logbook.tui.key_letters import page_of
from logbook.tui.places import key_of_action, keys_of_actions, places, screens
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.record_place import TOPIC_OF_LIST
from logbook.tui.sections import UNIT_ACTS

MOST_LINES = 60
NOW = datetime(2026, 3, 20, 18, 0, tzinfo=UTC)
PAGES = guide()
NAMES = [page.topic for page in PAGES]
KEY_OF = key_of_action({})
COMMON = {act.id for act in (*EVERYWHERE, *UNIT_ACTS)}


def records() -> set[type[Frozen]]:
    """Every kind of record that can be reached from a unit or from the shop."""
    found: set[type[Frozen]] = set()
    waiting: list[type[Frozen]] = [Unit, Shop]
    while waiting:
        kind = waiting.pop()
        if kind not in found:
            found.add(kind)
            waiting += [f.record for f in offered_fields(kind) if f.record is not None]
    return found


RADIO = next(d.unit for d in demo_documents() if d.logbook == "unit")
LISTED = refit_list(RADIO)
"""The reassembly list of the main unit of the demo book."""
LABELS = {field.label for kind in records() for field in offered_fields(kind)}


def without_number(action: str) -> str:
    """`step.same9` is one of `step.same`: a row of digits is named by its first and its last."""
    return re.sub(r"[0-9]+$", "", action)


@pytest.mark.parametrize("page", PAGES, ids=NAMES)
def test_a_page_is_one_sheet(page: GuidePage) -> None:
    assert len(guide_text(page_of(page.topic), KEY_OF).text().splitlines()) <= MOST_LINES
    assert len(guide_text(page, KEY_OF, 60).text().splitlines()) <= 2 * MOST_LINES


@pytest.mark.parametrize("page", PAGES, ids=NAMES)
def test_every_key_that_is_named_exists(page: GuidePage) -> None:
    assert [a for a in page.actions if a not in keys_of_actions()] == []
    assert not re.search(r"[{}*`]", guide_text(page_of(page.topic), KEY_OF).text())


@pytest.mark.parametrize("page", PAGES, ids=NAMES)
def test_every_command_that_is_named_exists(page: GuidePage) -> None:
    for words in page.commands:
        argv = [w.strip("'") for w in words.split()[1:]]
        argv = ["9" if w in ("N", "S") else w for w in argv]
        with pytest.raises(SystemExit) if "--help" in argv else nullcontext():
            assert read(argv).command in (None, *COMMANDS)


@pytest.mark.parametrize("page", PAGES, ids=NAMES)
def test_every_option_that_is_named_exists(page: GuidePage) -> None:
    known = " ".join(parser.format_help() for parser in (parsers()[0], *parsers()[1].values()))
    known += " ".join(("--with-place", "--keep", "--clock", "--clock-picture", "--shows", "--no-cards"))
    text = guide_text(page_of(page.topic), KEY_OF).text()
    assert [o for o in re.findall(r"(?<![-\w])--[a-z][a-z-]*", text) if o not in known] == []


@pytest.mark.parametrize("page", PAGES, ids=NAMES)
def test_every_field_that_is_named_exists(page: GuidePage) -> None:
    assert [f for f in page.fields if f not in LABELS] == []


@pytest.mark.parametrize("page", PAGES, ids=NAMES)
def test_every_example_is_understood_as_it_stands(page: GuidePage) -> None:
    assert [line for line in page.examples if not is_understood(line)] == []


@pytest.mark.parametrize("place", places())
def test_every_key_of_a_place_stands_on_the_page_about_it(place: str) -> None:
    topic = screens()[place].TOPIC
    named = {without_number(a) for a in (*guide_page(topic).actions, *guide_page("keys").actions)}
    own = [a.id for a in places()[place] if a.id not in COMMON and not a.id.startswith("section.")]
    assert [a for a in own if without_number(a) not in named] == []


def test_what_works_everywhere_and_every_section_stand_on_the_page_about_keys() -> None:
    named = guide_page("keys").actions
    assert [a.id for a in (*EVERYWHERE, *SECTIONS, *UNIT_ACTS) if a.id not in named] == []
    text = guide_text(guide_page("keys"), KEY_OF).text()
    for act in SECTIONS:
        assert re.search(rf"^{act.key}  +{act.label}", text, re.MULTILINE), act.label


def test_every_command_stands_on_the_page_about_commands() -> None:
    named = {words.split()[1] for words in guide_page("commands").commands if words.split()[1:]}
    assert set(COMMANDS) <= named


def test_every_document_stands_on_the_page_about_paper() -> None:
    text = guide_text(guide_page("paper"), KEY_OF).text()
    assert [p for p in Paper if f"- {p}: " not in text] == []


def test_every_place_and_every_list_has_its_page() -> None:
    assert {kind.TOPIC for kind in screens().values()} <= set(TOPICS)
    assert set(TOPIC_OF_LIST.values()) <= set(TOPICS)
    lists = {f.name for kind in (Unit, Shop) for f in offered_fields(kind) if f.kind is FieldKind.RECORDS}
    assert lists - set(TOPIC_OF_LIST) == set()


def test_every_topic_is_listed_with_what_it_is_for() -> None:
    shown = " ".join(topics_text(PAGES).text().split())
    for page in PAGES:
        assert f"{page.topic} " in shown
        assert page.about.split(",")[0] in shown


def test_a_topic_is_found_by_a_part_of_its_name_and_a_wrong_one_is_told() -> None:
    assert guide_page("pile").topic == "pile-and-saw"
    assert guide_page("Bench Line").topic == "bench-line"
    with pytest.raises(InputError, match=r"no page “photsos”. Did you mean photos?"):
        guide_page("photsos")
    with pytest.raises(InputError, match="There are: start, arrival"):
        guide_page("weather")


def test_own_keys_stand_in_the_guide() -> None:
    text = guide_text(guide_page("start"), key_of_action({"bench.new": "a"})).text()
    assert re.search(r"^a  +a new object", text, re.MULTILINE)


def test_every_screen_of_the_program_was_looked_at() -> None:
    assert set(screens()) == set(places())
    assert all(issubclass(kind, BookScreen) for kind in screens().values())


def is_understood(line: str) -> bool:
    """Whether one of the readers of typed lines takes all of it."""
    return any((_as_step(line), _as_piece(line), _as_ticks(line), _as_settings(line), _as_new_thing(line)))


def _as_step(line: str) -> bool:
    reading = read_line(line, RADIO)
    return reading.complete and not reading.unknown and not reading.step.note


def _as_piece(line: str) -> bool:
    reading = read_piece(line, Shop(), NOW.date())
    return not reading.missing and not reading.piece.note


def _as_ticks(line: str) -> bool:
    try:
        return bool(lines_in_range(LISTED, re.sub(r"\([^)]*\)", "", read_paper_ticks(line).lines)))
    except InputError:
        return False


def _as_settings(line: str) -> bool:
    try:
        return bool(tomllib.loads(line))
    except tomllib.TOMLDecodeError:
        return False


def _as_new_thing(line: str) -> bool:
    lists = [f.record for kind in (Unit, Shop, Case) for f in offered_fields(kind) if f.kind is FieldKind.RECORDS]
    readings = [read_new(kind, line, Context(NOW, "EUR"), code="X1") for kind in lists if kind is not None]
    return any(not r.problem and not r.missing and len(r.said) >= 2 and "note" not in r.said for r in readings)


def test_items_right_below_words_are_items_of_their_own() -> None:
    blocks = read_page("case", "# Case\n\nWhat it is for.\n\nWords that\n  go on.\n- one\n- two").blocks
    assert [(b.kind, b.words) for b in blocks] == [
        (BlockKind.WORDS, "Words that go on."),
        (BlockKind.ITEM, "one"),
        (BlockKind.ITEM, "two"),
    ]
