"""What holds for every test: one time zone, no settings of the person who runs them, few examples by default."""

from __future__ import annotations

import gc
import os
import sys
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

os.environ["TZ"] = "UTC"
time.tzset()
for name in ("NO_COLOR", "COLORTERM", "LOGBOOK_BOOK", "LOGBOOK_SETTINGS", "LOGBOOK_INITIALS", "COLUMNS", "LINES"):
    os.environ.pop(name, None)

# Amounts read as in plain English, and new books count in the sign that they start with.
os.environ.setdefault("LANG", os.environ.pop("LC_ALL", "C.UTF-8"))
os.environ["LC_MONETARY"] = "C.UTF-8"

# By hand every run draws other cases; where a change is judged (CI is set), every run draws the same.
settings.register_profile(
    "logbook",
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=bool(os.environ.get("CI")),
)
settings.load_profile("logbook")


def pytest_xdist_auto_num_workers() -> int:
    """One worker more than processors: a program on a terminal waits for a good part of its time."""
    return (os.cpu_count() or 1) + 1


def pytest_collection_finish() -> None:
    """What every test imports stays; looking through it again and again for garbage takes a tenth of the time."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)


@pytest.fixture(autouse=True)
def _no_fault_is_survived(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """A fault that a person would be told of fails the test, except where a test is about just that."""
    if "survives_faults" in request.keywords:
        return

    def fail(self: object, fault: Exception) -> None:
        raise fault

    def fail_of(self: object, code: str, fault: Exception) -> None:
        raise fault

    for name, where, instead in (
        ("logbook.tui.app", "LogbookApp.survive", fail),
        ("logbook.session.opened", "OpenBook.set_aside", fail_of),
    ):
        if name in sys.modules:
            monkeypatch.setattr(f"{name}.{where}", instead)


@pytest.fixture(autouse=True)
def _nobodys_home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """Books, settings and fault notes of tests never touch those of the person who runs them."""
    home: Path = tmp_path_factory.getbasetemp() / "home"
    for variable in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"):
        monkeypatch.setenv(variable, str(home / variable.lower()))
