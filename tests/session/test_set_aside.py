"""A unit with which the program itself fails takes no other with it: not on the bench, not in any view over all."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from logbook.cli.run_command import run
from logbook.costing import to_buy as listed
from logbook.model.unit import Unit
from logbook.planning import making, what_now
from logbook.render import bench_document as bench_render
from logbook.render import overview_made
from logbook.session import Session
from logbook.session.set_aside import faulty_units
from logbook.tui.screens import bench_screen
from logbook.tui.screens.to_buy_screen import ToBuyScreen
from tests.builders import step, unit
from tests.tui.conftest import NOW, opened, said, text_on, until

pytestmark = pytest.mark.survives_faults


def failing_with(code: str, work: Callable[..., Any]) -> Callable[..., Any]:
    """The same work, with a fault where the unit of that code is among what it is given."""

    def failed(*given: Any, **more: Any) -> Any:
        for one in given:
            units = one if isinstance(one, list | tuple) else getattr(one, "units", {}).values()
            if any(isinstance(u, Unit) and u.code == code for u in (one, *units)):
                raise ZeroDivisionError("half of nothing")
        return work(*given, **more)

    return failed


@pytest.fixture
def two(tmp_path: Path) -> Session:
    session = Session.open(tmp_path / "book", by="AB", now=lambda: NOW)
    session.add_unit(unit(step("T01", "plug")))
    session.add_unit(unit(step("T01", "lid"), code="B1", name="box"))
    return session


def test_the_units_to_blame_are_found_and_none_is_when_it_is_not_one_of_them(two: Session) -> None:
    def never(_: object) -> None:
        raise ZeroDivisionError

    book = two.book()
    assert list(faulty_units(book, failing_with("B1", lambda _: 0))) == ["B1"]
    assert faulty_units(book, never) == {}, "it fails without any unit as well"
    assert faulty_units(book, lambda b: 1 / (not b.units)) == {}, "it fails with each"
    two.close()


async def test_on_the_bench_it_is_one_row_with_its_mark_until_its_last_change_is_taken_back(
    two: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    two.apply("B1", "another name", lambda u: u.model_copy(update={"name": "odd box"}))
    line = overview_made.line_of

    def odd(unit: Unit, *more: Any) -> Any:
        if unit.name == "odd box":
            raise ZeroDivisionError("half of nothing")
        return line(unit, *more)

    monkeypatch.setattr(overview_made, "line_of", odd)
    async with opened(two, size=(100, 24)) as pilot:
        await until(pilot, lambda: "table radio" in text_on(pilot))
        assert "B1 LEFT OUT B1 cannot be worked out. This is a fault of the program" in text_on(pilot)
        await pilot.press("exclamation_mark")
        assert "Left out of every view over all units" in text_on(pilot)
        await pilot.press("x")
        await pilot.pause()
        assert said(pilot) == "Taken back in B1: another name"
        await pilot.press("escape")
        await pilot.pause()
        assert "LEFT OUT" not in text_on(pilot)
        assert "box" in text_on(pilot)


@pytest.mark.parametrize("name", ["what_now", "reminders", "overdue"])
async def test_what_the_bench_says_of_all_is_said_of_the_others(
    two: Session, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.setattr(bench_screen, name, failing_with("B1", getattr(bench_screen, name)))
    async with opened(two) as pilot:
        await until(pilot, lambda: "table radio" in text_on(pilot))
        assert "B1 LEFT OUT" in text_on(pilot)
        assert "1 unit, " in text_on(pilot)


async def test_the_plan_and_what_is_to_buy_go_on_without_it(two: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    from logbook.session import buying_list
    from logbook.tui import planner

    monkeypatch.setattr(planner, "made_plan", failing_with("B1", making.made_plan))
    monkeypatch.setattr(buying_list, "to_buy", failing_with("B1", listed))
    async with opened(two) as pilot:
        await pilot.app.push_screen(ToBuyScreen(two))
        await pilot.pause()
        assert list(two.left_out()) == ["B1"]
        two._set_aside.clear()
        await pilot.press("escape", "p")
        await until(pilot, lambda: "B1" in two.left_out(), "the plan did not go on")
        assert pilot.app.is_running


@pytest.mark.parametrize(
    ("words", "where"),
    [
        (("bench",), (bench_render, "bench_text")),
        (("now", "60"), (what_now, "what_now")),
        (("plan",), (making, "made_plan")),
        (("check",), ("logbook.checks", "check_book")),
    ],
    ids=lambda w: w[0] if isinstance(w[0], str) else "",
)
def test_a_command_over_all_units_tells_of_the_others_and_names_it(
    two: Session,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    words: tuple[str, ...],
    where: tuple[Any, str],
) -> None:
    import importlib

    two.close()
    module = importlib.import_module(where[0]) if isinstance(where[0], str) else where[0]
    monkeypatch.setattr(module, where[1], failing_with("B1", getattr(module, where[1])))
    code = run(["--book", str(two.path), *words], now=lambda: NOW)
    told = capsys.readouterr()
    assert code in (0, 1)
    assert told.out
    assert "B1 cannot be worked out. This is a fault of the program" in told.out + told.err
    assert "Traceback" not in told.out + told.err
