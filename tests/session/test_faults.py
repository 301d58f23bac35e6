"""Faults are written down short, without what a record says, and never more than 50 kB of them."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from logbook.session.faults import fault_file, written_down

NOW = datetime(2026, 3, 20, 18, 0, tzinfo=UTC)


def deep(calls: int, words: str) -> None:
    if calls:
        deep(calls - 1, words)
    else:
        raise ValueError(words)


def fault(words: str, calls: int = 3) -> BaseException:
    try:
        try:
            deep(calls, words)
        except ValueError as error:
            raise KeyError(words) from error
    except KeyError as error:
        return error


def test_no_record_is_written_down_and_the_file_stays_small(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    record = "table radio, kitchen of the lake house; " * 1000
    for _ in range(400):
        said = written_down(fault(record, calls=300), NOW)
    assert len(said) < 800
    kept = list(fault_file().parent.iterdir())
    assert {p.name for p in kept} == {"faults.txt", "faults-before.txt"}
    assert sum(p.stat().st_size for p in kept) <= 50_000
    text = "".join(p.read_text() for p in kept)
    assert "lake house" not in text
    assert "KeyError" in text
    assert "ValueError" in text
    assert "test_faults.py" in text


def test_a_disk_that_takes_no_log_is_said(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "restorers-logbook").write_text("in the way")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    assert "could not be written down" in written_down(fault("x"), NOW)
