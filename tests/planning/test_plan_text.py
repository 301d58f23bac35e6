"""The plan and what now as commands: text, JSON, and a calendar file read back by another library."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
from dateutil import parser as dates

from logbook.model.words import Stage
from logbook.planning.making import made_plan
from logbook.render.calendar_file import calendar_file
from logbook.render.plan_document import plan_data, plan_text
from tests.builders import book, operation, shop, unit
from tests.planning.test_book_plan import FRIDAY, UTC_ONLY, WEEKEND, demo_book


def one_unit(name: str = "mark"):
    of = unit(code="R1", stage=Stage.REBUILD, operations=(operation("B01", name, 60),))
    return book(of, of_shop=shop(free_time=WEEKEND, settings=UTC_ONLY))


def read_back(raw: bytes) -> list[dict[str, str]]:
    """The events of a calendar file, read by the rules of RFC 5545 sections 3.1 and 3.3.11 and nothing of ours."""
    assert all(len(line) <= 75 for line in raw.split(b"\r\n")), "lines are folded at 75 octets"
    lines = raw.decode("utf-8").replace("\r\n ", "").split("\r\n")
    events: list[dict[str, str]] = []
    for line in lines:
        name, _, value = line.partition(":")
        if line == "BEGIN:VEVENT":
            events.append({})
        elif events and name not in ("END", "BEGIN"):
            said = re.sub(r"\\([\\;,nN])", lambda m: "\n" if m[1] in "nN" else m[1], value)
            events[-1][name.partition(";")[0]] = said
    return events


def test_the_calendar_file_is_read_back_by_other_libraries() -> None:
    whole = demo_book()
    plan = made_plan(whole, FRIDAY).plan(whole)
    raw = calendar_file(plan)
    events = read_back(raw)
    at_work = [e for e in events if "TRANSP" not in e]
    assert [(dates.isoparse(e["DTSTART"]), dates.isoparse(e["DTEND"])) for e in at_work] == [
        (e.start.astimezone(UTC), e.end.astimezone(UTC)) for e in plan.entries
    ]
    assert len({e["UID"] for e in events}) == len(events)
    import icalendar

    again = icalendar.Calendar.from_ical(raw)
    assert [str(e["summary"]) for e in again.walk("VEVENT")] == [e["SUMMARY"] for e in events]
    assert sum("call" in e["UID"] for e in events) == len(plan.calls) == 1


def test_text_of_a_person_breaks_no_calendar_file() -> None:
    hostile = "saw; part, one\\two\nBEGIN:VEVENT\x07 “ÄÖ” " + "é" * 80
    raw = calendar_file(made_plan(one_unit(hostile), FRIDAY).plan(one_unit(hostile)))
    (event,) = read_back(raw)
    assert "saw; part, one\\two" in event["SUMMARY"]
    assert b"\x07" not in raw
    assert raw.count(b"\r\nBEGIN:VEVENT") == 1


def test_the_text_names_everything_in_the_plan() -> None:
    whole = demo_book()
    made = made_plan(whole, FRIDAY)
    plan = made.plan(whole)
    text = " ".join(plan_text(plan, made).split())
    for entry in plan.entries:
        assert f"{entry.start:%H:%M}-{entry.end:%H:%M}" in text
        assert entry.title in text
    assert "A better plan may save up to" in text
    assert all(len(line) <= 80 for line in plan_text(plan, made).splitlines())
    data = json.loads(json.dumps(plan_data(plan, made)))
    assert [datetime.fromisoformat(e["start"]) for e in data["entries"]] == [e.start for e in plan.entries]
    assert {e["unit"] for e in data["ends"]} == {"R1", "C1", "G1"}


def test_the_commands(ask_plan) -> None:
    done = ask_plan("plan", "--weeks", "1")
    assert "PLAN over all units" in done
    assert "R1 ends" in done
    assert json.loads(ask_plan("now", "60", "--json"))["now"][0]["unit"] == "R1"
    assert "test: output transformer" in ask_plan("now", "1:00")
    assert read_back(ask_plan("plan", "--ics", "-").encode())
    first, second = (json.loads(ask_plan("plan", "--improve", "2", "--json")) for _ in range(2))
    assert first["entries"] == second["entries"]
    assert first["rounds"] == 2


def test_a_kept_plan_is_in_the_book(ask_plan) -> None:
    made = json.loads(ask_plan("plan", "--keep", "--json"))
    again = json.loads(ask_plan("plan", "--json"))
    assert again["entries"] == made["entries"]
    assert again["moved"] == []


@pytest.fixture
def ask_plan(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch):
    """Run a command on the demo book and give what it printed."""
    from logbook.cli.run_command import run
    from logbook.session import Session

    path = tmp_path / "book"
    whole = demo_book()
    with Session.open(path, create=True, now=lambda: FRIDAY) as session:
        session.apply_shop("the shop", lambda _: whole.shop)
        for of in whole.units.values():
            session.add_unit(of)

    def asked(*words: str) -> str:
        assert run(["--book", str(path), *words], now=lambda: FRIDAY) == 0
        return capsys.readouterr().out

    return asked
