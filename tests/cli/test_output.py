"""What is printed reaches any reader: closed pipes, poor encodings, full disks, hostile records."""

from __future__ import annotations

import io
import os
import subprocess
import sys
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.cli.output import HANDLER, OutputError, ReaderGone, write, write_bytes
from logbook.model.words import Certainty
from logbook.session import Session
from tests.builders import fastener, hazard, one_way, part, part_set, setting, step, unit, use, wire
from tests.cli.conftest import NOW, Ask
from tests.hostile import HOSTILE, filled, texts


def program(
    *words: str | Path, stdout: object = subprocess.PIPE, **environment: str
) -> subprocess.CompletedProcess[bytes]:
    """Run the program as a process of its own, without a terminal."""
    return subprocess.run(
        [sys.executable, "-m", "logbook", *map(str, words)],
        stdin=subprocess.DEVNULL,
        stdout=stdout,  # type: ignore[call-overload]
        stderr=subprocess.PIPE,
        env={**os.environ, **environment},
        check=False,
        timeout=60,
    )


@pytest.mark.parametrize("words", [["bench"], ["export", "R1"], ["--help"]], ids=lambda words: words[0])
def test_a_reader_that_goes_away_is_no_fault(demo: Path, words: list[str]) -> None:
    child = subprocess.Popen(
        [sys.executable, "-m", "logbook", "--book", demo, *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert child.stdout is not None
    assert child.stderr is not None
    child.stdout.close()  # long before the program has anything to say
    assert child.stderr.read() == b""
    child.stderr.close()
    assert child.wait(60) == 0


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="this system has no device that is always full")
def test_a_full_disk_is_a_sentence(demo: Path) -> None:
    with open("/dev/full", "wb") as full:
        done = program("--book", demo, "bench", stdout=full)
    assert done.returncode == 2
    assert done.stderr.decode() == "logbook: The output could not be written: No space left on device.\n"


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp437", "utf-16"])
def test_a_poor_encoding_still_gets_the_whole_list(demo: Path, encoding: str) -> None:
    done = program("--book", demo, "reassembly", "R1", PYTHONIOENCODING=f"{encoding}:strict", PYTHONUTF8="0")
    assert (done.returncode, done.stderr) == (0, b"")
    text = done.stdout.decode(encoding)
    assert "A19" in text
    assert "end of the list" in text


def test_help_and_refusals_in_a_poor_encoding() -> None:
    done = program("bnech", PYTHONIOENCODING="ascii:strict", PYTHONUTF8="0")
    assert done.stderr == b'logbook: There is no command "bnech". Did you mean bench? See "logbook --help".\n'
    assert program("export", "--help", PYTHONIOENCODING="ascii:strict", PYTHONUTF8="0").returncode == 0


def test_a_document_is_utf_8_whatever_the_encoding(ask: Ask, tmp_path: Path) -> None:
    with Session.open(tmp_path / "b", now=lambda: NOW) as session:
        session.add_unit(unit(name="Küchenradio 漢字"))
    done = program("--book", tmp_path / "b", "export", "R1", PYTHONIOENCODING="ascii:strict", PYTHONUTF8="0")
    assert "Küchenradio 漢字" in done.stdout.decode("utf-8")


def test_without_any_output_nothing_breaks(demo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from logbook.cli.run_command import run

    monkeypatch.setattr(sys, "stdout", None)
    monkeypatch.setattr(sys, "stderr", None)
    assert run(["--book", str(demo), "bench"], now=lambda: NOW) == 0
    assert run(["--book", str(demo), "bom", "Z9"], now=lambda: NOW) == 2


def test_every_view_of_hostile_records_is_plain_text(ask: Ask, tmp_path: Path) -> None:
    """Nothing a record holds can move the cursor, colour or command a terminal, or turn the writing round."""
    thing = unit(
        step(
            "T01", "back", hazards=[hazard()], fasteners=[fastener("screw", 6, 5)], bag="1", certainty=Certainty.GUESS
        ),
        step("T02", "cord", "unsoldered", connections=[wire()], settings=[setting()], as_found_wrong=True),
        step("T03", "drawer", one_way=one_way(), each_of="D"),
        sets=[part_set()],
        parts=[part(for_steps=("T02",))],
        consumables=[use()],
    )
    with Session.open(tmp_path / "b", now=lambda: NOW) as session:
        for i in range(len(HOSTILE)):
            session.add_unit(filled(thing, texts(i)).model_copy(update={"code": f"U{i}"}))
    views = [["bench"], ["check"], *([name, "U3"] for name in ("reassembly", "bom", "cost")), ["reassembly", "U9"]]
    for words in views:
        for way in ([], ["--json"], ["--width", "40"]):
            said = ask("--book", tmp_path / "b", *words, *way)
            assert said.code in (0, 1), said.err
            assert not {c for c in said.out if c != "\n" and unicodedata.category(c) in ("Cc", "Cs", "Cf")}
            assert "\u202e" not in said.out


class _Stream(io.TextIOWrapper):
    def __init__(self, encoding: str) -> None:
        super().__init__(io.BytesIO(), encoding=encoding)


@given(st.text(st.characters(exclude_categories=["Cs"])))
def test_what_an_encoding_holds_is_written_as_it_is_and_the_rest_is_near(text: str) -> None:
    stream = _Stream("latin-1")
    write(text, stream)
    written = stream.buffer.getvalue().decode("latin-1")  # type: ignore[attr-defined]
    assert written == "".join(c if ord(c) < 256 else c.encode("latin-1", HANDLER).decode("latin-1") for c in text)


@pytest.mark.parametrize(
    ("text", "ascii_text"),
    [("“no”", '"no"'), ("a … b", "a ... b"), ("12×9", "12x9"), ("Ø165", "dia 165"), ("½", "1/2"), ("漢", "?")],
)
def test_what_stands_for_a_character_that_is_missing(text: str, ascii_text: str) -> None:
    assert text.encode("ascii", HANDLER).decode() == ascii_text


class _Refusing(io.RawIOBase):
    """A raw output that refuses as long as it holds an error."""

    def __init__(self, error: OSError | None) -> None:
        self.error = error

    def writable(self) -> bool:
        return True

    def fileno(self) -> int:
        return os.open(os.devnull, os.O_WRONLY)

    def write(self, data: bytes) -> int:  # type: ignore[override]
        if self.error is not None:
            raise self.error
        return len(data)


@pytest.mark.parametrize(
    ("error", "wanted"),
    [(BrokenPipeError(32, "Broken pipe"), ReaderGone), (OSError(5, "Input/output error"), OutputError)],
)
def test_what_the_output_refuses_is_said_by_kind(error: OSError, wanted: type[Exception]) -> None:
    stream = io.TextIOWrapper(io.BufferedWriter(_Refusing(error)), encoding="utf-8")
    with pytest.raises(wanted):
        write_bytes(b"x", stream)
    stream.buffer.raw.error = None  # type: ignore[attr-defined]
