"""The files that come along: found in a checkout and in an installed package, and safe to edit."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from logbook.errors import InputError
from logbook.model import templates
from logbook.model.dates import moved
from logbook.model.document import UnitDocument
from logbook.model.templates import (
    demo_documents,
    hazard_classes,
    hazard_note,
    read_hazards,
    template_bytes,
    usual_hazards,
)
from logbook.model.words import SignalWord

FIRST = "Local codes and licensed practice come first."


@pytest.mark.parametrize(
    "name",
    [
        "",
        "/etc/passwd",
        "..",
        "../pyproject.toml",
        "demo/../../README.md",
        "demo//R1.json",
        "demo\\R1.json",
        "a\0b",
        ".x",
    ],
)
def test_no_way_out_of_the_folder(name: str) -> None:
    with pytest.raises(InputError, match="is not the name of a file among the templates"):
        template_bytes(name)


@pytest.mark.parametrize("name", ["demo/R9.json", "demo", "nothing.json"])
def test_a_missing_template_says_what_to_do(name: str) -> None:
    with pytest.raises(InputError, match="is missing; install the program again"):
        template_bytes(name)


def test_inside_an_installed_package_its_own_folder_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "templates" / "demo").mkdir(parents=True)
    (tmp_path / "templates" / "demo" / "R1.json").write_bytes(b"of the package")
    monkeypatch.setattr(templates, "files", lambda package: tmp_path)
    assert template_bytes("demo/R1.json") == b"of the package"
    assert template_bytes("demo/G1.json").startswith(b"{"), "what the package lacks is taken from the checkout"


def test_a_demo_document_that_was_spoilt_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "templates" / "demo").mkdir(parents=True)
    (tmp_path / "templates" / "demo" / "C1.json").write_bytes(b"{")
    monkeypatch.setattr(templates, "files", lambda package: tmp_path)
    with pytest.raises(InputError, match=r"demo/C1\.json is not JSON"):
        demo_documents()


# The objects for which a list of hazards is wanted; the cautions themselves are common knowledge of safety bodies.
WANTED = {
    "anything with a plug": ["mains"],
    "stored charge": ["charge"],
    "valve radio": ["mains", "charge", "chassis"],
    "clock": ["spring"],
    "luminous dial": ["radium"],
    "heating appliance": ["asbestos", "mains"],
    "mercury switch": ["mercury"],
    "painted furniture": ["lead", "dust"],
    "discharge lamp": ["mercury"],
    "refrigeration or gas appliance": ["refrigerant"],
    "battery": ["fire"],
    "bench grinder": ["wheel", "mains", "charge"],
    "table saw": ["kickback"],
    "solvents and adhesives": ["fumes"],
    "oils and oil stains": ["rags"],
    "wood and finish dust": ["dust"],
    "heavy or glass parts": ["weight"],
    "old electrical parts": ["toxic"],
    "mains lamp": ["mains"],
    "microwave oven": ["high voltage", "mains"],
}


@pytest.mark.parametrize(("name", "dangers"), WANTED.items(), ids=WANTED)
def test_usual_hazards(name: str, dangers: list[str]) -> None:
    found = usual_hazards(f" {name.upper()} ")
    assert all(any(danger in h.what for h in found) for danger in dangers)
    assert all(h.do for h in found), "every hazard says what to do before the step"


def test_an_unknown_class_has_none() -> None:
    assert usual_hazards("spaceship") == ()
    assert usual_hazards("") == ()


def test_cautions_defer_to_codes_and_licensed_practice() -> None:
    assert hazard_note().startswith(FIRST)
    assert "stop here and have it done" in hazard_note()
    for c in hazard_classes():
        assert c.hazards
        for h in c.hazards:
            dangerous = ("mains", "charge", "radium", "asbestos", "mercury", "lead", "refrigerant", "high voltage")
            if any(word in h.what for word in dangerous):
                assert h.do.endswith(FIRST), h.what
                assert h.signal in (SignalWord.WARNING, SignalWord.DANGER, SignalWord.CAUTION)


def test_reserved_work_gets_no_advice() -> None:
    (gas,) = usual_hazards("refrigeration or gas appliance")
    assert gas.signal is SignalWord.DANGER
    assert "Licensed persons only" in gas.do


def test_abrasive_wheel_gaps_as_published() -> None:
    """Work rest at most 1/8 in and tongue guard at most 1/4 in: 29 CFR 1910.215(a)(4) and (b)(9); from memory."""
    (wheel,) = (h for h in usual_hazards("bench grinder") if "wheel" in h.what)
    assert "1/8 in" in wheel.prove
    assert "1/4 in" in wheel.prove


def hazards(*classes: dict[str, Any], **more: Any) -> bytes:
    return json.dumps({"classes": list(classes), **more}).encode()


def of_class(name: str, *what: str, also: tuple[str, ...] = ()) -> dict[str, Any]:
    return {"class": name, "also": list(also), "hazards": [{"what": w, "do": "stop"} for w in what]}


def test_hazards_of_other_classes_come_after_its_own_and_once() -> None:
    read = read_hazards(
        hazards(of_class("a", "x", also=("b", "c")), of_class("b", "y", also=("c", "a")), of_class("c", "z", "x"))
    )
    assert [[h.what for h in c.hazards] for c in read.classes] == [["x", "y", "z"], ["y", "z", "x"], ["z", "x"]]


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b"", "it is not JSON"),
        (b"{", "it is not JSON"),
        (b"[]", "an object with names and values is wanted"),
        (b"{}", "classes is missing"),
        (hazards({"hazards": []}), "classes[0].class is missing."),
        (hazards(of_class("")), "classes[0].class: it may not be empty"),
        (hazards({**of_class("a"), "name": "b"}), "classes[0].name is not a field of the record."),
        (
            hazards({"class": "a", "hazards": [{"signal": "BEWARE", "what": "x"}]}),
            "classes[0].hazards[0].signal must be one of 'DANGER', 'WARNING', 'CAUTION' or 'NOTICE'",
        ),
        (hazards({"class": "a", "hazards": [{"do": "x"}]}), "classes[0].hazards[0].what is missing."),
        (hazards(of_class("a", "x"), of_class("a", "y")), "has the class “a” twice"),
        (hazards(of_class("a", also=("b",))), "“a” also names “b”, which is not in the list"),
    ],
)
def test_an_edited_list_that_cannot_be_used(raw: bytes, says: str) -> None:
    with pytest.raises(InputError) as caught:
        read_hazards(raw, "hazards.json")
    assert says in str(caught.value)
    assert "hazards.json" in str(caught.value)


def test_the_demo_reads_on_any_day_as_it_does_on_its_own() -> None:
    as_written = {d.unit.code: d.unit for d in demo_documents() if isinstance(d, UnitDocument)}
    a_year_on = {d.unit.code: d.unit for d in demo_documents(date(2027, 3, 17)) if isinstance(d, UnitDocument)}
    for code, unit in as_written.items():
        later = a_year_on[code]
        assert [later.steps[i].at - s.at for i, s in enumerate(unit.steps) if s.at] == [
            timedelta(days=365) for s in unit.steps if s.at
        ]
        assert [w.chase.isoformat() for w in later.waiting if w.chase] == [
            (w.chase + timedelta(days=365)).isoformat() for w in unit.waiting if w.chase
        ]
        assert moved(later, timedelta(days=-365)) == unit
