"""`logbook print`, `logbook ticks` and `logbook starters`: to files and pipes, and what is said when it cannot be."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path

import pytest
from pypdf import PdfReader

from logbook.session.papers import Form, Paper
from tests.cli.conftest import Ask, BookOf


@pytest.mark.parametrize("what", Paper)
@pytest.mark.parametrize("form", Form)
def test_every_document_goes_into_a_file_in_every_form(
    ask: Ask, demo: Path, tmp_path: Path, what: str, form: str
) -> None:
    to = tmp_path / f"out.{form}"
    done = ask("--book", demo, "print", "R1", what, "--to", to)
    assert (done.code, done.err) == (0, "")
    assert str(to) in done.out
    raw = to.read_bytes()
    assert (raw[:5] == b"%PDF-") == (form == "pdf")
    assert form in ("pdf", "csv") or b"R1" in raw
    assert raw.count(b"\n") > 5


def test_a_pipe_gets_the_document_itself(demo: Path) -> None:
    words = [sys.executable, "-m", "logbook", "--book", str(demo), "print", "r1", "reassembly"]
    done = subprocess.run(words, capture_output=True, check=True, timeout=60, stdin=subprocess.DEVNULL)
    assert len(PdfReader(io.BytesIO(done.stdout)).pages) <= 5  # with its photos beside their lines
    text = subprocess.run([*words, "--as", "md"], capture_output=True, check=True, timeout=60, stdin=subprocess.DEVNULL)
    assert text.stdout.decode().startswith("# R1 table radio — REASSEMBLY LIST\n")


def test_a_file_that_is_there_is_left_alone_unless_told(ask: Ask, demo: Path, tmp_path: Path) -> None:
    to = tmp_path / "list.pdf"
    to.write_text("mine")
    done = ask("--book", demo, "print", "R1", "bom", "--to", to)
    assert done.code == 2
    assert "left alone" in done.err
    assert to.read_text() == "mine"
    assert ask("--book", demo, "print", "R1", "bom", "--to", to, "--replace").code == 0
    assert to.read_bytes().startswith(b"%PDF")


def test_into_a_folder_the_file_gets_its_own_name(ask: Ask, demo: Path, tmp_path: Path) -> None:
    done = ask("--book", demo, "print", "R1", "record", "--as", "html", "--to", tmp_path)
    assert done.code == 0
    assert [p.name for p in tmp_path.glob("*.html")] == ["R1-record-v1.html"]
    assert [p for p in tmp_path.iterdir() if p.name.endswith(".part")] == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("R9", "bom"), "no unit “R9”"),
        (("shop", "bom"), "only labels"),
        (("R1", "labels", "--sheet", "nothing"), "no label sheet “nothing”"),
        (("R1", "labels", "--kind", "bag,hat"), "no labels for “hat”"),
        (("R1", "labels", "--start", "99"), "places 1 to 21"),
        (("R1", "poem"), "poem"),
        (("R1", "bom", "--as", "doc"), "doc"),
        (("R1", "bom", "--to", "x.odt"), "no form “odt”"),
        (("R1", "bom", "--to", "no/such/folder/x.pdf"), "there is no folder no/such/folder. Make it first"),
        (("R1", "bom", "--to", f"{300 * 'x'}.pdf"), "the name is too long"),
    ],
)
def test_what_cannot_be_printed_is_a_sentence(ask: Ask, demo: Path, words: tuple[str, ...], said: str) -> None:
    done = ask("--book", demo, "print", *words)
    assert done.code == 2
    assert said in done.err
    assert done.err.count("\n") == 1
    assert "Traceback" not in done.err


def test_labels_of_the_shop_and_of_chosen_kinds(ask: Ask, demo: Path) -> None:
    shop = ask("--book", demo, "print", "shop", "labels", "--as", "csv", "--to", "-").out
    assert "O12" in shop
    assert "PVA" in shop
    wires = ask("--book", demo, "print", "R1", "labels", "--kind", "wires", "--as", "csv", "--to", "-").out.splitlines()
    assert len(wires) == 1 + 2 * 7  # W1 to W7, both ends
    assert all(line.startswith("wire,") for line in wires[1:])


def test_what_no_font_can_show_is_said_beside_the_document(ask: Ask, book_of: BookOf, tmp_path: Path) -> None:
    from tests.builders import step, unit

    folder = book_of(unit(step("T01", "cover \U00013000"), name="x"))
    done = ask("--book", folder, "print", "R1", "record", "--to", tmp_path / "x.pdf")
    assert done.code == 0
    assert "U+13000" in done.err


def test_ticks_are_entered_and_what_changed_since_is_said(ask: Ask, demo: Path) -> None:
    refused = ask("--book", demo, "ticks", "R1", "A02-A03")
    assert refused.code == 2
    assert "not ready" in refused.err
    assert "with --although" in refused.err
    done = ask("--book", demo, "--by", "AB", "ticks", "R1", "2-3", "--although", "done at the bench")
    assert (done.code, done.out) == (0, "Ticked: A02, A02a, A03.\n")
    listed = ask("--book", demo, "reassembly", "R1", "--json").json
    kept = {line["number"]: line["kept"] for line in listed["lines"] if line["kept"]}
    assert set(kept) == {"A02", "A02a", "A03"}
    assert next(iter(kept["A02"].values()))["initials"] == "AB"
    again = ask("--book", demo, "ticks", "R1", "A05", "v1", "--although", "done at the bench")
    assert (again.code, again.out) == (0, "Ticked: A05.\n")
    blanks = ask("--book", demo, "ticks", "R1", "A06,", "A07-A08", "v1", "--although", "done at the bench")
    assert (blanks.code, blanks.out) == (0, "Ticked: A06, A07, A07a, A08.\n"), "as it is typed without quotation marks"
    assert ask("--book", demo, "ticks", "R1", "A06", "--version-on-paper", "9").code == 2


def test_starters_are_listed_and_shown_cautions_first(ask: Ask) -> None:
    done = ask("starters")
    assert done.code == 0
    assert done.out.index("Local codes and licensed practice") < done.out.index("mains lamp")
    one = ask("starters", "mantel-clock").out
    assert one.index("HAZARDS") < one.index("QUESTIONS ON ARRIVAL") < one.index("LIKELY COMPONENTS")
    assert ask("starters", "nothing").code == 2


def test_a_starter_is_copied_changed_and_found(ask: Ask, tmp_path: Path) -> None:
    copied = ask("starters", "chair", "--json").json
    copied["name"] = "my chairs"
    own = tmp_path / "data" / "restorers-logbook" / "starters"
    own.mkdir(parents=True)
    (own / "mine.json").write_text(json.dumps(copied), encoding="utf-8")
    (own / "broken.json").write_text("{", encoding="utf-8")
    done = ask("starters")
    assert done.code == 0
    assert "my chairs" in done.out
    assert "broken.json" in done.err


def test_a_test_that_waits_is_not_called_open_which_would_be_a_broken_winding(ask: Ask, demo: Path) -> None:
    said = ask("--book", demo, "print", "R1", "record", "--as", "txt").out
    assert "output transformer windings continuous: not done yet" in said


def test_a_reading_on_the_paper_comes_back_with_its_tick(ask: Ask, demo: Path) -> None:
    words = ("ticks", "R1", "A17 (12 MOhm, polarity good)", "--although", "done at the bench")
    done = ask("--book", demo, "--by", "AB", *words)
    assert (done.code, done.out) == (0, "Ticked: A17.\n")
    listed = ask("--book", demo, "reassembly", "R1", "--json").json
    kept = next(line["kept"] for line in listed["lines"] if line["number"] == "A17")
    assert [(s["reading"], s["initials"]) for s in kept.values()] == [("12 MOhm, polarity good", "AB")]
