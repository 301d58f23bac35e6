"""A unit or the shop as JSON: the same bytes in and out, and a sentence with the path for whatever is wrong."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from logbook.errors import InputError
from logbook.model.document import (
    MOST_BYTES,
    ShopDocument,
    UnitDocument,
    path_of,
    read_document,
    structure_problems,
    write_document,
)
from logbook.model.templates import template_bytes
from tests.builders import (
    at,
    chain,
    handed_pair,
    lump,
    mm,
    part_set,
    relation,
    renewed,
    screws,
    setting,
    shop,
    step,
    unit,
    wire,
)

DEMO = ("R1", "G1", "C1", "L1", "shop")


def document(**of_unit: Any) -> dict[str, Any]:
    """The smallest document, with more fields of its unit."""
    return {"logbook": "unit", "version": 1, "unit": {"code": "R1", "name": "table radio", **of_unit}}


def with_step(**of_step: Any) -> dict[str, Any]:
    return document(steps=[{"code": "T01", "what": "back panel", **of_step}])


def refusal(raw: bytes | dict[str, Any] | list[Any]) -> str:
    """The sentences with which it is refused."""
    with pytest.raises(InputError) as caught:
        read_document(raw if isinstance(raw, bytes) else json.dumps(raw).encode(), "R1.json")
    return str(caught.value)


@pytest.mark.parametrize("code", DEMO)
def test_demo_documents_come_out_as_they_went_in(code: str) -> None:
    raw = template_bytes(f"demo/{code}.json")
    assert write_document(read_document(raw)) == raw


def test_every_kind_of_field_survives() -> None:
    radio = unit(
        step("T01", "knöbs [top] {x}\n«»", fasteners=[screws(4, 3), renewed("wax plug", 4)], at=at("2026-03-12 20:41")),
        step("T02", "pointer", settings=[setting(length=mm("1/2 in"))], connections=[wire("W1")], each_of="LR"),
        sets=[handed_pair()],
        relations=[relation("T01", "T02", "better", still_protects=False)],
    )
    given_ = UnitDocument(logbook="unit", version=1, unit=radio)
    assert read_document(write_document(given_)) == given_
    shared = ShopDocument(logbook="shop", version=1, shop=shop(settings={"kerf": mm("1/8"), "currency": "€"}))
    assert read_document(write_document(shared)) == shared


@settings(max_examples=60, deadline=None)
@given(st.text(min_size=1, max_size=200), st.text(max_size=200))
@example("\ud800", "\x00\x1b[2J\u202e")
def test_any_text_survives_but_half_characters(what: str, note: str) -> None:
    given_ = UnitDocument(logbook="unit", version=1, unit=unit(step("T01", what, note=note)))
    again = read_document(write_document(given_))
    assert again == given_
    assert isinstance(again, UnitDocument)
    if not re.search("[\ud800-\udfff]", what + note):
        assert (again.unit.steps[0].what, again.unit.steps[0].note) == (what, note)


def test_a_byte_order_mark_is_no_part_of_the_text() -> None:
    assert read_document(b"\xef\xbb\xbf" + json.dumps(document()).encode()) == read_document(
        json.dumps(document()).encode()
    )


def test_times_are_kept_in_utc() -> None:
    read = read_document(json.dumps(document(touched="2026-03-12T21:41:00+01:00")).encode())
    assert isinstance(read, UnitDocument)
    assert read.unit.touched == at("2026-03-12 20:41")
    assert b'"touched": "2026-03-12T20:41:00Z"' in write_document(read)


WHOLE = [
    # bytes, the sentence
    (b"", "R1.json is empty."),
    (b" \n\t", "R1.json is empty."),
    (b"hello", "R1.json is not JSON: line 1, column 1: Expecting value."),
    (b'{"logbook": "unit",\n "version": 1,}', "R1.json is not JSON: line 2, column 15"),
    (b"[1, 2]", "R1.json is JSON, but its top is not an object with names and values."),
    (b"null", "R1.json is JSON, but its top is not an object"),
    (b"\xff\xfe{", "R1.json is not UTF-8 text (byte 0); save it as UTF-8."),
    (json.dumps(document()).encode("utf-16"), "R1.json is not UTF-8 text (byte 0); save it as UTF-8."),
    (b'{"logbook": "unit", "n": "\xe4"}', "R1.json is not UTF-8 text (byte 26); save it as UTF-8."),
    (b"[" * 100_000, "R1.json is nested too deeply to be a record."),
    (b'{"logbook": "unit", "version": ' + b"9" * 5000 + b"}", "R1.json holds a number that is too long to be one."),
    (b'{"logbook": "unit", "logbook": "shop"}', 'R1.json says "logbook" twice in one place'),
    (
        b"{}",
        'R1.json is not a document of this logbook: at its top it must say "logbook": "unit" or "logbook": "shop".',
    ),
    (b'{"logbook": "book"}', "R1.json is not a document of this logbook"),
    (b'{"logbook": "unit"}', "R1.json is of version null; this program reads version 1."),
    (b'{"logbook": "unit", "version": 2}', "R1.json is of version 2; this program reads version 1."),
    (b'{"logbook": "unit", "version": true}', "R1.json is of version true; this program reads version 1."),
    (b'{"logbook": "unit", "version": "1"}', 'R1.json is of version "1"; this program reads version 1.'),
    (b'{"logbook": "unit", "version": 1}', "unit is missing."),
    (b'{"logbook": "shop", "version": 1}', "shop is missing."),
    (b'{"logbook": "unit", "version": 1, "unit": {"name": "\\ud800"}}', "it is not JSON: "),
]


@pytest.mark.parametrize(("raw", "says"), WHOLE, ids=[said for _, said in WHOLE])
def test_what_is_no_document(raw: bytes, says: str) -> None:
    assert says in refusal(raw)


def test_a_file_too_large_is_not_even_read() -> None:
    assert "larger than 64 MB" in refusal(b" " * (MOST_BYTES + 1))


BAD = [
    # document, the sentence with its path
    (document(code="r1"), 'unit.code is "r1"; a code there must match ^[A-Z][A-Z0-9]{0,7}$.'),
    (document(code="R1\n"), 'unit.code is "R1\\n"; a code there must match'),
    (document(code="../R1"), 'unit.code is "../R1"; a code there must match'),
    (document(name=""), 'unit.name: it may not be empty, not "".'),
    (document(name=7), "unit.name: text is wanted, not 7."),
    (document(stage="sold"), "unit.stage must be one of 'arrival', 'teardown', "),
    (document(step_letter="t"), 'unit.step_letter is "t"; a code there must match'),
    (document(stpes=[]), "unit.stpes is not a field of the record."),
    (document(**{"a\n\x1b[2J": 1}), 'unit."a\\n\\u001b[2J" is not a field of the record.'),
    (document(steps={"T01": {}}), 'unit.steps: a list is wanted, not {"T01": {}}.'),
    (document(steps=["T01"]), 'unit.steps[0]: an object with names and values is wanted, not "T01".'),
    (document(steps=[{"code": "T01"}]), "unit.steps[0].what is missing."),
    (with_step(code="11"), 'unit.steps[0].code is "11"; a code there must match'),
    (with_step(action="pulled"), "unit.steps[0].action must be one of 'unscrewed', 'unplugged', "),
    (with_step(minutes=1.5), "unit.steps[0].minutes: a whole number is wanted, not 1.5."),
    (with_step(minutes="5"), 'unit.steps[0].minutes: a whole number is wanted, not "5".'),
    (with_step(minutes=-1), "unit.steps[0].minutes: it may not be below 0, not -1."),
    (with_step(minutes=10**9), "unit.steps[0].minutes is 1000000000; the most that is taken there is 10000000."),
    (with_step(planned="yes"), 'unit.steps[0].planned: true or false is wanted, not "yes".'),
    (with_step(at="2026-03-12T20:41:00"), "unit.steps[0].at: the time needs its zone, like 2026-03-12T20:41:00Z"),
    (with_step(at="12 March"), "unit.steps[0].at: a time with zone like 2026-03-12T20:41:00Z is wanted"),
    (with_step(at="20260312"), "unit.steps[0].at: a time with zone like 2026-03-12T20:41:00Z is wanted"),
    (
        with_step(at=1700000000),
        "unit.steps[0].at: a time with zone like 2026-03-12T20:41:00Z is wanted, not 1700000000.",
    ),
    (with_step(at="2026-13-12T20:41:00Z"), "unit.steps[0].at: month must be in 1..12"),
    (
        with_step(at="0001-01-01T00:00:00+23:00"),
        "unit.steps[0].at: this time lies before the year 1 or after the year 9999",
    ),
    (
        with_step(weight_kg=5.8),
        "unit.steps[0].weight_kg: this is a decimal number in quotes, like “0.75”, or a whole number",
    ),
    (with_step(fasteners=[{"kind": "nut", "holes": 1}]), "unit.steps[0].fasteners[0].found is missing."),
    (
        with_step(fasteners=[{"kind": "nut", "holes": 1, "found": 1, "then": "keep"}]),
        "unit.steps[0].fasteners[0].then must be one of 'reuse', 'renew', 'scrap' or 'lost', not \"keep\".",
    ),
    (
        with_step(settings=[{"what": "gap", "length": 12.5}]),
        "unit.steps[0].settings[0].length: a length is text like “12.5 mm”, or mm as a decimal number in quotes",
    ),
    (
        with_step(settings=[{"what": "gap", "length": "thin"}]),
        "unit.steps[0].settings[0].length: “thin” is not a length.",
    ),
    (
        with_step(settings=[{"what": "gap", "length": "\x1b[2J"}]),
        "unit.steps[0].settings[0].length: “\\u001b[2J” is not",
    ),
    (
        with_step(settings=[{"what": "gap", "length": {"mm": "0.00001"}}]),
        "unit.steps[0].settings[0].length: a length is a whole number of 1/80,000 mm (0.0000125 mm)",
    ),
    (
        with_step(settings=[{"what": "gap", "length": {"mm": "1", "cm": "2"}}]),
        "unit.steps[0].settings[0].length.cm is not a field of the record.",
    ),
    (document(spent=[{"what": "radio", "amount": 10.0}]), "unit.spent[0].amount: money is a decimal number in quotes"),
    (
        document(spent=[{"what": "radio", "amount": "10,00"}]),
        "unit.spent[0].amount: money is a decimal number in quotes",
    ),
    (document(spent=[{"what": "radio", "on": "2026-02-30"}]), "unit.spent[0].on: day is out of range for month"),
    (document(spent=[{"what": "radio", "on": "86400"}]), "unit.spent[0].on: a date like 2026-03-12 is wanted"),
    (
        document(cost_lines=[{"code": "SH", "name": "shipping", "price": {"low": "3", "likely": "2", "high": "4"}}]),
        "unit.cost_lines[0].price: low 3, likely 2 and high 4 must not decrease",
    ),
    (
        document(operations=[{"code": "B01", "name": "cut", "effort": {"low": 9, "likely": 2, "high": 4}}]),
        "unit.operations[0].effort: low 9, likely 2 and high 4 minutes must not decrease",
    ),
    (
        document(parts=[{"code": "N 1", "name": "x", "quantity": 1}]),
        'unit.parts[0].code is "N 1"; a code there must match',
    ),
    ({**document(), "unit": None}, "unit: an object with names and values is wanted, not null."),
    ({**document(), "shop": {}}, "shop is not a field of the record."),
]


@pytest.mark.parametrize(("bad", "says"), BAD, ids=[said for _, said in BAD])
def test_what_is_wrong_is_said_with_its_path(bad: dict[str, Any], says: str) -> None:
    told = refusal(bad)
    assert told.startswith("R1.json cannot be used:\n  ")
    assert f"\n  {says}" in told


STRUCTURE = [
    # unit fields, the sentence with its path
    (
        {"relations": [{"kind": "better before", "earlier": "T09", "later": "T01"}]},
        "unit.relations[0].earlier names the step T09, which does not exist.",
    ),
    (
        {"relations": [{"kind": "together", "earlier": "T01", "later": "T09"}]},
        "unit.relations[0].later names the step T09, which does not exist.",
    ),
    (
        {"relations": [{"kind": "threaded on before", "earlier": "T01", "later": "T01"}]},
        "unit.relations[0] says that T01 comes before itself.",
    ),
    ({"operations": [{"code": "B01", "name": "x"}] * 2}, "unit.operations has B01 2 times; a code names one thing."),
    ({"parts": [{"code": "N1", "name": "x", "quantity": 1}] * 3}, "unit.parts has N1 3 times; a code names one thing."),
    ({"components": [{"code": "V1", "name": "x"}] * 2}, "unit.components has V1 2 times; a code names one thing."),
    (
        {"held_dimensions": [{"code": "H", "what": "x"}] * 2},
        "unit.held_dimensions has H 2 times; a code names one thing.",
    ),
    (
        {"sub_assemblies": [{"code": "CH", "name": "x", "came_out_at": "T01"}] * 2},
        "unit.sub_assemblies has CH 2 times; a code names one thing.",
    ),
    (
        {"sub_assemblies": [{"code": "CH", "name": "x", "came_out_at": "T09"}]},
        "unit.sub_assemblies[0].came_out_at names the step T09, which does not exist.",
    ),
    (
        {"operations": [{"code": "B01", "name": "x", "after": ["B09"]}]},
        "unit.operations[0].after names the operation B09, which does not exist.",
    ),
    ({"refit": {"lines": [{"line": "T01"}] * 2}}, 'unit.refit.lines has "T01" 2 times; a code names one thing.'),
    (
        {"sets": [{"code": "D", "name": "x", "members": [{"code": "D1"}, {"code": "D1"}]}]},
        "unit.sets[0].members has D1 2 times; a code names one thing.",
    ),
]


@pytest.mark.parametrize(("fields", "says"), STRUCTURE, ids=[said for _, said in STRUCTURE])
def test_a_record_that_contradicts_itself(fields: dict[str, Any], says: str) -> None:
    assert f"\n  {says}" in refusal(document(steps=[{"code": "T01", "what": "x"}], **fields))


@pytest.mark.parametrize(
    ("of_step", "says"),
    [
        ({"each_of": "D"}, 'unit.steps[0].each_of names the set "D", which does not exist.'),
        ({"inside": "CH\n"}, 'unit.steps[0].inside names the sub-assembly "CH\\n", which does not exist.'),
        (
            {"differences": [{"member": "D9"}]},
            "unit.steps[0].differences[0] names the member D9, which its set does not have.",
        ),
    ],
)
def test_a_step_that_names_what_does_not_exist(of_step: dict[str, Any], says: str) -> None:
    assert f"\n  {says}" in refusal(with_step(**of_step))


def test_a_circle_is_drawn() -> None:
    circle = unit(step("T01"), step("T02"), step("T03"), relations=[*chain("T01", "T02", "T03", "T01")])
    told = refusal(write_document(UnitDocument(logbook="unit", version=1, unit=circle)))
    assert "unit.relations: These relations go round in a circle:" in told
    assert all(code in told for code in ("T01", "T02", "T03"))


def test_a_step_that_came_out_with_what_it_brought_out() -> None:
    lumps = [lump("CH", "T01")]
    inside_itself = unit(
        step("T01"), step("T02", inside="CH"), sub_assemblies=lumps, relations=[relation("T02", "T01")]
    )
    assert any("circle" in p for p in structure_problems(inside_itself))
    assert not list(structure_problems(unit(step("T01"), step("T02", inside="CH"), sub_assemblies=lumps)))


def test_members_that_exist_are_no_problem() -> None:
    chest = unit(step("T01", each_of="D", differences=[]), sets=[part_set("D", 4)])
    assert not list(structure_problems(chest))


def test_every_wrong_place_is_told_at_once() -> None:
    told = refusal({**document(code="r1", stpes=1), "extra": 1})
    assert told.count("\n  ") == 3


@pytest.mark.parametrize(
    ("many", "counted"),
    [
        (document(steps=[{}] * 30), "and 40 more"),
        (document(steps=[{"code": "T01", "what": "x", "each_of": "D"}] * 30), "and 11 more"),
    ],
)
def test_twenty_sentences_and_a_count_of_the_rest(many: dict[str, Any], counted: str) -> None:
    told = refusal(many).splitlines()
    assert len(told) == 22
    assert told[-1] == f"  {counted}"


def test_long_values_are_quoted_short_and_nothing_invisible_gets_through() -> None:
    told = refusal(document(stage="\x9b2J\u202e\x07" + "x" * 10_000))
    assert all(c.isprintable() or c == "\n" for c in told)
    assert len(told) < 400


@pytest.mark.parametrize(
    ("where", "path"),
    [
        (("unit", "steps", 4, "holes"), "unit.steps[4].holes"),
        ((), ""),
        ((0, "code"), "[0].code"),
        (("unit", "a b"), 'unit."a b"'),
    ],
)
def test_path(where: tuple[int | str, ...], path: str) -> None:
    assert path_of(where) == path


BEYOND = [
    (["unit", "parts", 0, "quantity"], "-3", "unit.parts[0].quantity: -3 is not above zero."),
    (["unit", "parts", 0, "pack_size"], "0", "unit.parts[0].pack_size: 0 is not above zero."),
    (
        ["unit", "parts", 0, "price"],
        {"low": "-9", "likely": "1", "high": "2"},
        "unit.parts[0].price: -9 / 1 / 2 is below zero. Type what is to be paid, or 0.",
    ),
    (
        ["unit", "parts", 0, "quantity"],
        "2000000",
        "unit.parts[0].quantity: 2000000 is more than a million. Check the unit and the number.",
    ),
]


@pytest.mark.parametrize(("path", "value", "sentence"), BEYOND, ids=[b[2][:40] for b in BEYOND])
def test_a_number_that_no_form_would_take_is_not_taken_in_either(
    path: list[str | int], value: object, sentence: str
) -> None:
    document: Any = json.loads(template_bytes("demo/R1.json"))
    place = document
    for key in path[:-1]:
        place = place[key]
    place[path[-1]] = value
    with pytest.raises(InputError) as caught:
        read_document(json.dumps(document).encode(), "R1.json")
    assert sentence in str(caught.value)
