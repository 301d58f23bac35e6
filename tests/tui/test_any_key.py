"""Whatever is pressed: nothing breaks, nothing is kept unsaid, everything can be taken back.

Many more seeds are pressed by hand: `python -m tests.benchmarks.any_key 1000`.
"""

from __future__ import annotations

from typing import Any
from unittest.mock import patch

import pytest

from logbook.errors import StoreError
from logbook.model.shop import PlannedStart
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.bench_screen import BenchScreen
from tests.tui.any_key import Told, run_seed

KEYS = 120


@pytest.mark.parametrize("seed", range(20))
def test_any_keys_over_all_screens(seed: int) -> None:
    told = run_seed(seed, KEYS)
    assert told.fault is None, str(told.fault)
    assert told.keys == KEYS


def pressed(seed: int, keys: int = 40) -> list[tuple[str, list[str]]]:
    """Every key of a run, with the screen after it."""
    found: list[tuple[str, list[str]]] = []
    run_seed(seed, keys, lambda _, name, shown: found.append((name, shown)))
    return found


def test_a_seed_presses_the_same_keys_and_meets_the_same_screens() -> None:
    assert pressed(2) == pressed(2)


def found_with(where: str, what: Any) -> Told:
    """The first run that finds something wrong while a part of the program is replaced."""
    with patch(where, what):
        runs = (run_seed(seed, 60) for seed in range(12))
        return next(told for told in runs if told.fault is not None)


def test_an_exception_is_found_and_told_with_its_keys_and_screen() -> None:
    def fail(*_: object) -> None:
        raise ZeroDivisionError

    told = found_with("logbook.tui.screens.bench_screen.BenchScreen._overview", fail)
    assert told.fault is not None
    assert "ZeroDivisionError" in told.fault.what
    assert f"--seed {told.seed}" in str(told.fault)


def test_what_is_kept_by_a_key_that_only_moves_is_found() -> None:
    real = BookScreen.help_lines

    def keeping(screen: BookScreen) -> list[tuple[str, str]]:
        shop = screen.session.shop
        start = PlannedStart(work="R1 K01", at=screen.session.now)
        changed = shop.model_copy(update={"plan": (start,)})
        screen.session.apply_shop("a slip", lambda _: changed)
        return real(screen)

    told = found_with("logbook.tui.screen_frame.BookScreen.help_lines", keeping)
    assert told.fault is not None
    assert "kept something" in told.fault.what
    assert "a slip" in told.fault.what


def test_what_cannot_be_taken_back_is_found() -> None:
    def refuse(*_: object, **__: object) -> None:
        raise StoreError("The disk refuses.")

    told = found_with("tests.tui.any_key.Session.undo", refuse)
    assert told.fault is not None
    assert "cannot be taken back" in told.fault.what


def test_a_title_that_says_nothing_is_found() -> None:
    told = found_with("logbook.tui.widgets.frame_lines.TitleLine.set_words", lambda *_, **__: None)
    assert told.fault is not None
    assert "title" in told.fault.what


def test_what_is_written_elsewhere_is_found(tmp_path_factory: pytest.TempPathFactory) -> None:
    elsewhere = tmp_path_factory.mktemp("elsewhere") / "note.txt"
    real = BenchScreen.show_record

    def writing(screen: BenchScreen) -> None:
        elsewhere.write_text("seen")
        real(screen)

    told = found_with("logbook.tui.screens.bench_screen.BenchScreen.show_record", writing)
    assert told.fault is not None
    assert "outside of its folder" in told.fault.what


def test_nothing_is_shared_between_two_runs() -> None:
    first = run_seed(3, 30)
    again = run_seed(3, 30)
    assert (first.kept, first.places) == (again.kept, again.places)
