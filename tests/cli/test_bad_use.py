"""Bad commands and bad documents: one clear sentence on the error output, 2, and a book that is untouched."""

from __future__ import annotations

import io
import json
import os
import sys
from pathlib import Path
from typing import Any

import pytest

from logbook.model.document import UnitDocument, write_document
from logbook.session import Session
from tests.builders import relation, step, unit
from tests.cli.conftest import NOW, Ask, files_of

COMMANDS = {
    "unknown command": (["bnech"], "There is no command “bnech”. Did you mean bench?"),
    "unknown and far": (["quux"], "There is no command “quux”. See “logbook --help”."),
    "unknown option": (["bench", "--colour"], "The option “--colour” is not known here. See “logbook bench --help”."),
    "option mistyped": (["cost", "R1", "--jsn"], "Did you mean --json? See “logbook cost --help”."),
    "document mistyped": (["print", "R1", "reasembly"], "there is no “reasembly”. Did you mean reassembly?"),
    "document unheard of": (["print", "R1", "xyzzy"], "reassembly, decision, bom, labels, cuts, record, case."),
    "option cut short": (
        ["reassembly", "R1", "--rea"],
        "The option “--rea” is not known here. Did you mean --ready? See “logbook reassembly --help”.",
    ),
    "no unit named": (["reassembly"], "The following arguments are required: UNIT. See “logbook reassembly --help”."),
    "no file named": (["import"], "The following arguments are required: FILE"),
    "one unit too many": (["bom", "R1", "G1"], "The word “G1” is not known here. See “logbook bom --help”."),
    "unit far off": (["cost", "XYZ99"], "There is no unit “XYZ99” in this book. It holds C1, G1, L1, R1."),
    "unit nearly right": (["reassembly", "rr1"], "There is no unit “rr1” in this book. Did you mean R1?"),
    "empty unit": (["bom", ""], "There is no unit “” in this book."),
    "unit as markup": (["bom", "[/red]"], "There is no unit “[/red]” in this book."),
    "unit with an escape": (["bom", "a\x1b[2J"], "There is no unit “a␛[2J” in this book."),
    "unit to check": (["check", "Z9"], "There is no unit “Z9” in this book."),
    "unit to export": (["export", "Z9"], "There is no unit “Z9” in this book."),
    "width in words": (["bench", "--width", "wide"], "“wide” is not a number of columns from 40 to 200"),
    "width too small": (["bench", "--width", "10"], "“10” is not a number of columns"),
    "width of nothing": (["bench", "--width"], "Argument --width: expected one argument."),
    "book without a name": (["bench", "--book", ""], "The name of the book's folder is empty."),
    "book not there": (["bench", "--book", "/nowhere/at/all"], "There is no book at /nowhere/at/all yet."),
    "book is a file": (["bench", "--book", __file__], "There is no book at"),
    "folder of other things": (["bench", "--book", os.path.dirname(__file__)], "is not a book: it holds other things."),
    "book of a name too long": (["bench", "--book", 300 * "b"], "cannot be the folder of a book: File name too long"),
    "photos of a name too long": (["photos", "link", 300 * "p"], "is no folder. Name the folder"),
    "book with a NUL": (["bench", "--book", "a\0b"], "The name of the book's folder is empty."),
    "file not there": (["import", "/nowhere/x.json"], "/nowhere/x.json cannot be read: No such file or directory."),
    "file is a folder": (["import", os.path.dirname(__file__)], "cannot be read: Is a directory."),
    "file of nobody's home": (["import", "~nobody-of-that-name/x.json"], "cannot be read: No such file"),
    "file with a NUL": (["import", "a\0b"], "is not the name of a file."),
    "code with a blank": (["import", "-", "--as", "R 1"], "code: letters and digits only, like R1."),
    "code of a figure": (["import", "-", "--as", "9"], "code: it begins with a letter, like R1."),
    "code far too long": (["import", "-", "--as", "R" * 9], "code: letters and digits only"),
    "code of a device": (["import", "-", "--as", "CON"], "“CON” cannot name a unit"),
    "code taken": (["import", "-", "--as", "G1"], "There is already a unit G1 in this book."),
    "demo in another's folder": (
        ["demo", "--book", os.path.dirname(__file__)],
        "is not a book: it holds other things.",
    ),
}


@pytest.mark.parametrize("case", COMMANDS)
def test_a_bad_command_is_one_sentence(ask: Ask, demo: Path, monkeypatch: pytest.MonkeyPatch, case: str) -> None:
    words, sentence = COMMANDS[case]
    raw = write_document(UnitDocument(logbook="unit", version=1, unit=unit(code="X1")))
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(raw)))
    before = files_of(demo)
    said = ask("--book", demo, *words)
    assert said.code == 2
    assert said.out == ""
    assert sentence in said.err
    assert said.err.startswith("logbook: ")
    assert said.err.count("\n") == 1
    assert "Traceback" not in said.err
    assert files_of(demo) == before


def _document(**changes: Any) -> bytes:
    whole = json.loads(write_document(UnitDocument(logbook="unit", version=1, currency="$", unit=unit(code="X1"))))
    whole["unit"] |= changes
    return json.dumps(whole).encode()


def _step(**changes: Any) -> bytes:
    return _document(steps=[{"code": "T01", "what": "back", **changes}])


def _with(text: str, other: str) -> bytes:
    return _document().decode().replace(text, other, 1).encode()


_CIRCLE = unit(step("T01"), step("T02"), code="X1", relations=[relation("T01", "T02"), relation("T02", "T01")])

DOCUMENTS = {
    "empty": (b"", "is empty."),
    "blank": (b" \n\t ", "is empty."),
    "no JSON": (b"{", "is not JSON: line 1"),
    "cut short": (_document()[:-30], "is not JSON: line 1"),
    "not UTF-8": (b'{"logbook": "\xff"}', "is not UTF-8 text"),
    "UTF-16": (_document().decode().encode("utf-16"), "is not UTF-8 text (byte 0); save it as UTF-8."),
    "a list": (b"[1, 2]", "its top is not an object"),
    "a number": (b"12", "its top is not an object"),
    "NaN": (b"NaN", "its top is not an object"),
    "something else": (b'{"name": "x"}', 'at its top it must say "logbook": "unit"'),
    "another kind": (_with('"unit"', '"shelf"'), 'at its top it must say "logbook": "unit"'),
    "a later version": (_with('"version": 1', '"version": 2'), "is of version 2; this program reads version 1."),
    "a version in words": (_with('"version": 1', '"version": "1"'), 'is of version "1"'),
    "a version true": (_with('"version": 1', '"version": true'), "is of version true"),
    "nested deeply": (b"[" * 100_000, "nested too deeply"),
    "a number too long": (_with('"version": 1', '"version": ' + "9" * 5000), "a number that is too long"),
    "no unit": (b'{"logbook": "unit", "version": 1}', "unit is missing."),
    "a field too many": (_document(colour="red"), "unit.colour is not a field of the record."),
    "a field mistyped": (_step(fastners=[]), "unit.steps[0].fastners is not a field of the record."),
    "a name of nothing": (_document(name=""), "unit.name: it may not be empty"),
    "a code in small letters": (_document(code="x1"), 'unit.code is "x1"'),
    "a code that leads out": (_document(code="../X"), 'unit.code is "../X"'),
    "a step without a name": (_document(steps=[{"code": "T01"}]), "unit.steps[0].what is missing."),
    "a step code": (_step(code="t1"), 'unit.steps[0].code is "t1"'),
    "an action": (_step(action="pulled"), "unit.steps[0].action must be one of"),
    "a count in words": (_step(wires="four"), "unit.steps[0].wires: a whole number is wanted"),
    "a count below nothing": (_step(wires=-1), "unit.steps[0].wires: it may not be below 0"),
    "a count and a half": (_step(wires=1.5), "unit.steps[0].wires: a whole number is wanted"),
    "a yes in words": (_step(left_hand="yes"), "unit.steps[0].left_hand: true or false is wanted"),
    "a time without zone": (_step(at="2026-03-12T20:41:00"), "the time needs its zone"),
    "a time in words": (_step(at="yesterday"), "a time with zone like"),
    "a weight as float": (_step(weight_kg=5.8), "unit.steps[0].weight_kg: this is a decimal number in quotes"),
    "money as float": (
        _document(spent=[{"what": "paid", "amount": 10.5}]),
        "unit.spent[0].amount: money is a decimal number in quotes",
    ),
    "a length of letters": (
        _step(settings=[{"what": "gap", "length": "wide"}]),
        "unit.steps[0].settings[0].length: “wide” is not a length.",
    ),
    "a text for a list": (_document(steps="T01"), "unit.steps: a list is wanted"),
    "a code twice": (
        _document(steps=[{"code": "T01", "what": "a"}, {"code": "T01", "what": "b"}]),
        "unit.steps has T01 2 times",
    ),
    "a relation to nowhere": (
        _document(relations=[{"kind": "must come off before", "earlier": "T01", "later": "T02"}]),
        "names the step T01, which does not exist.",
    ),
    "a circle": (write_document(UnitDocument(logbook="unit", version=1, unit=_CIRCLE)), "unit.relations:"),
    "a set that is not there": (_step(each_of="D"), 'names the set "D", which does not exist.'),
    "another currency": (_with('"currency": "$"', '"currency": "€"'), "counts in € and the book in $"),
    "the shop in another currency": (
        b'{"logbook": "shop", "version": 1, "shop": {"settings": {"currency": "kr"}}}',
        "counts in kr and the book in $",
    ),
    "a unit that is there": (_document(code="R1"), "There is already a unit R1 in this book. “--as CODE”"),
}


@pytest.mark.parametrize("case", DOCUMENTS)
def test_a_bad_document_is_refused_whole(ask: Ask, demo: Path, tmp_path: Path, case: str) -> None:
    raw, sentence = DOCUMENTS[case]
    path = tmp_path / "x.json"
    path.write_bytes(raw)
    before = files_of(demo)
    said = ask("--book", demo, "import", path)
    assert said.code == 2
    assert said.out == ""
    assert said.err.startswith("logbook: ")
    assert sentence in said.err
    assert "Traceback" not in said.err
    assert files_of(demo) == before


@pytest.mark.parametrize("case", ["empty", "a circle", "a field mistyped"])
def test_a_bad_document_begins_no_book(ask: Ask, tmp_path: Path, case: str) -> None:
    path = tmp_path / "x.json"
    path.write_bytes(DOCUMENTS[case][0])
    assert ask("--book", tmp_path / "new", "import", path).code == 2
    assert not (tmp_path / "new").exists()


def test_every_wrong_place_is_named_at_once(ask: Ask, demo: Path, tmp_path: Path) -> None:
    path = tmp_path / "x.json"
    path.write_bytes(_step(action="pulled", wires=-1, colour="red"))
    said = ask("--book", demo, "import", path)
    assert all(f"steps[0].{name}" in said.err for name in ("action", "wires", "colour"))


def test_hostile_text_in_a_refusal_moves_nothing_on_the_terminal(ask: Ask, demo: Path, tmp_path: Path) -> None:
    path = tmp_path / "x.json"
    path.write_bytes(_step(action="\x1b]52;c;aGk=\x07\x9b2J\u202e"))
    said = ask("--book", demo, "import", path)
    assert said.code == 2
    assert not any((ord(c) < 32 and c != "\n") or 0x7F <= ord(c) < 0xA0 or c == "\u202e" for c in said.err)


def test_a_list_whose_relations_go_in_a_circle_says_which(ask: Ask, tmp_path: Path) -> None:
    """A record from elsewhere can hold a circle, although none can be typed in."""
    with Session.open(tmp_path / "b", now=lambda: NOW) as session:
        session.add_unit(unit(step("T01"), step("T02"), code="X1"))
        session.apply("X1", "two relations", lambda _: _CIRCLE)
    for command in ("reassembly", "bench"):
        said = ask("--book", tmp_path / "b", command, *(["X1"] if command == "reassembly" else []))
        assert "fault of the program" not in said.err
    said = ask("--book", tmp_path / "b", "reassembly", "X1")
    assert said.code == 2
    assert "T01" in said.err
    assert "T02" in said.err


def test_a_fault_of_the_program_is_one_sentence_and_its_details_are_kept(
    ask: Ask, demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("half of\nnothing")

    monkeypatch.setattr("logbook.render.bench_document.bench_text", broken)
    said = ask("--book", demo, "bench")
    assert said.code == 2
    assert "fault of the program, not of yours: ZeroDivisionError" in said.err
    log = tmp_path / "state" / "restorers-logbook" / "log" / "faults.txt"
    assert str(log) in said.err
    assert "Traceback" in log.read_text()
    assert "Traceback" not in said.err


def test_the_keyboard_can_stop_it(ask: Ask, demo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("logbook.render.bench_document.bench_text", stopped)
    assert ask("--book", demo, "bench") == (130, "", "")


def test_a_disk_that_refuses_is_a_sentence(ask: Ask, tmp_path: Path) -> None:
    (tmp_path / "in the way").write_text("x")
    path = tmp_path / "x.json"
    path.write_bytes(_document())
    said = ask("--book", tmp_path / "in the way" / "book", "import", path)
    assert said.code == 2
    assert said.err.count("\n") == 1
    assert "Traceback" not in said.err
