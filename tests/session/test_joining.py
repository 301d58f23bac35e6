"""Two copies of a book that went their own ways, joined: what stands, where the other side is told, what undo does."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from logbook.errors import InputError
from logbook.joining import chosen
from logbook.joining.report import Report
from logbook.model.casework_records import Case, Layer, Panel
from logbook.model.edits import drop_step, keep_step, next_step_code
from logbook.model.paths import put_at
from logbook.model.photo_edits import Placed, at_step, with_photos
from logbook.model.shop import Shop
from logbook.model.step import Photo
from logbook.model.unit import Unit
from logbook.session import Session, as_json
from logbook.session.joining import keep, propose
from logbook.store.branch import branch_of_file
from logbook.store.place import RecordFiles
from tests.builders import mm, offcut, step, unit
from tests.store.faults import Death, Faults

NOON = datetime(2026, 3, 12, 12, tzinfo=UTC)
Edit = Callable[[Unit], Unit]


class Clock:
    """Each look at it is a minute later."""

    def __init__(self, minutes: int) -> None:
        self._at = NOON + timedelta(minutes=minutes)

    def __call__(self) -> datetime:
        self._at += timedelta(minutes=1)
        return self._at


def opened(path: Path, by: str = "AB", minutes: int = 0) -> Session:
    return Session.open(path, by=by, now=Clock(minutes), at_once=True)


def new_step(what: str, at: datetime | None = None) -> Edit:
    return lambda record: keep_step(record, step(next_step_code(record), what, at=at))


def put(path: tuple[str, ...], value: Any) -> Edit:
    return lambda record: put_at(record, path, value)


def edited(book: Path, by: str, minutes: int, *edits: Edit, code: str = "R1") -> None:
    with opened(book, by, minutes) as session:
        for number, edit in enumerate(edits):
            session.apply(code, f"{by} {number}", edit)


def record_of(book: Path, code: str = "R1") -> Unit:
    with Session.open(book, now=lambda: NOON, read_only=True) as session:
        return session.unit(code)


def join(book: Path, other: Path) -> Report:
    with opened(book, "AB", 9000) as session:
        return keep(session, propose(session, other))


@pytest.fixture
def two(tmp_path: Path) -> tuple[Path, Path]:
    """The book at the bench, and a copy of it at the desk."""
    bench, desk = tmp_path / "bench", tmp_path / "desk"
    with opened(bench) as session:
        session.add_unit(unit(step("T01", "plug"), step("T02", "back panel", bag="1")))
        session.add_unit(unit(step("T01", "lid"), code="K1"))
    shutil.copytree(bench, desk)
    return bench, desk


def apart(bench: Path, desk: Path) -> None:
    edited(
        bench, "AB", 100, new_step("dial", NOON), new_step("pointer", NOON + timedelta(hours=2)), put(("notes",), "x")
    )
    edited(desk, "CD", 200, new_step("valve", NOON + timedelta(hours=1)), put(("steps", "T02", "bag"), "4"))


def test_both_copies_become_the_same_whichever_is_joined_to_which(two: tuple[Path, Path], tmp_path: Path) -> None:
    bench, desk = two
    apart(bench, desk)
    copies = tmp_path / "bench again", tmp_path / "desk again"
    for book, copy in zip(two, copies, strict=True):
        shutil.copytree(book, copy)
    join(bench, desk)
    join(copies[1], copies[0])
    assert record_of(bench) == record_of(copies[1])
    joined = record_of(bench)
    assert [(s.code, s.what) for s in joined.steps[2:]] == [("T03", "dial"), ("T05", "valve"), ("T04", "pointer")]
    assert (joined.steps[1].bag, joined.notes) == ("4", "x")
    assert not join(bench, copies[1]).changes, "joined on both computers, the same came of it"
    join(desk, bench)
    assert record_of(desk) == joined
    assert not join(bench, desk).changes


def test_a_joining_is_one_change_that_undo_takes_back_and_the_other_side_stays_readable(
    two: tuple[Path, Path],
) -> None:
    bench, desk = two
    apart(bench, desk)
    before, other = record_of(bench), record_of(desk)
    join(bench, desk)
    after = record_of(bench)
    with opened(bench, minutes=9500) as session:
        entry = session.entries("R1")[-1]
        assert (entry.what, entry.kind) == ("joined with desk", "change")
        path = bench / "units/R1/joined" / f"unit-{entry.joined['n']:08d}-{entry.joined['mark']}.jsonl"
        theirs = branch_of_file(str(path), RecordFiles(str(bench / "units/R1"), "unit", "R1"))
        assert [(e.by, e.what) for e in theirs.story.entries] == [("CD", "CD 0"), ("CD", "CD 1")]
        assert theirs.story.replayed() == as_json(other)
        assert session.undo() == "joined with desk"
        assert session.unit("R1") == before
        assert session.redo() == "joined with desk"
        assert session.unit("R1") == after
        assert session.look_through() == ()


def test_what_was_taken_back_can_be_joined_again(two: tuple[Path, Path]) -> None:
    bench, desk = two
    apart(bench, desk)
    join(bench, desk)
    after = record_of(bench)
    with opened(bench, minutes=9500) as session:
        session.undo()
    assert join(bench, desk).changes
    assert record_of(bench) == after


def test_work_goes_on_after_a_joining_and_is_joined_again(two: tuple[Path, Path]) -> None:
    bench, desk = two
    apart(bench, desk)
    join(bench, desk)
    edited(bench, "AB", 9600, put(("steps", "T05", "note"), "getter silver"))
    edited(desk, "CD", 9700, put(("steps", "T02", "box"), "2"))
    report = join(bench, desk)
    (record,) = report.records
    assert (record.comes_in, record.to_look_at) == (("step T02, its box: nothing → “2”",), ())
    report = join(desk, bench)
    assert record_of(desk) == record_of(bench)
    assert record_of(bench).step("T05") is not None


def test_nothing_is_written_for_what_did_not_differ(two: tuple[Path, Path]) -> None:
    bench, desk = two
    apart(bench, desk)
    files = [p for p in bench.rglob("*") if p.is_file() and ("K1" in p.parts or "shop" in p.parts)]
    stamps = {p: (p.stat().st_mtime_ns, p.stat().st_ino) for p in files}
    join(bench, desk)
    assert {p: (p.stat().st_mtime_ns, p.stat().st_ino) for p in files} == stamps
    assert not (bench / "units/K1/joined").exists()


def test_looking_changes_nothing(two: tuple[Path, Path]) -> None:
    bench, desk = two
    apart(bench, desk)
    before = {p: p.read_bytes() for p in bench.rglob("*.jsonl")}
    with Session.open(bench, now=lambda: NOON, read_only=True) as session:
        report = propose(session, desk).report(session.on_shop_clock)
    assert report.records[0].numbers == ("T03 valve is T05 now.",)
    assert {p: p.read_bytes() for p in bench.rglob("*.jsonl")} == before


def test_a_unit_that_is_only_there_comes_with_its_story_and_undo_takes_it_out(two: tuple[Path, Path]) -> None:
    bench, desk = two
    with opened(desk, "CD", 300) as session:
        session.add_unit(unit(step("T01", "hood"), code="L1", name="lamp"))
        session.apply("L1", "kept T02", new_step("socket"))
    assert join(bench, desk).new_units == ("L1 lamp",)
    with opened(bench, minutes=9500) as session:
        assert [e.by for e in session.entries("L1")] == ["CD", "CD"]
        session.remove_unit("L1")
        assert session.undo() is not None
        assert "L1" in session.codes()
        session.remove_unit("L1")
    assert "was taken out of this book" in join(bench, desk).not_joined[0]


def test_units_of_one_code_that_never_were_one_are_left_alone(two: tuple[Path, Path], tmp_path: Path) -> None:
    other = tmp_path / "other"
    with opened(other, "CD") as session:
        session.add_unit(unit(step("T01", "something else")))
    report = join(two[0], other)
    assert not report.records
    assert any(said.startswith("R1: This R1 and the other one never were one record") for said in report.not_joined)


def test_a_piece_given_one_number_twice_gets_a_new_one_and_the_case_follows(two: tuple[Path, Path]) -> None:
    bench, desk = two
    for book, by, minutes, material in ((bench, "AB", 100, "12 ply"), (desk, "CD", 200, "oak")):
        with opened(book, by, minutes) as session:
            piece = offcut("O01", material=material)
            session.apply_shop("a piece", lambda shop, piece=piece: put_at(shop, ("offcuts",), (piece,)))
            layer = Layer(material=material, thickness=mm("12"), piece="O01")
            case = Case(panels=(Panel(code=f"P{minutes}", name="side", layers=(layer,)),))
            session.apply("R1", "the case", put(("case",), case))
    join(bench, desk)
    with opened(bench, minutes=9500) as session:
        assert {p.code: p.material for p in session.shop.offcuts} == {"O01": "12 ply", "O02": "oak"}
        case = session.unit("R1").case
        assert case is not None
        assert {p.code: p.layers[0].piece for p in case.panels} == {"P100": "O01", "P200": "O02"}
        session.undo()
        assert [p.code for p in session.shop.offcuts] == ["O01"], "the shop and the unit are one change"


def test_pictures_come_along_and_a_missing_original_is_named(two: tuple[Path, Path]) -> None:
    bench, desk = two
    raw = b"\xff\xd8 a picture"
    digest = sha256(raw).hexdigest()
    there = Photo(file=f"{digest[:24]}.jpg", sha256=digest)
    nowhere = Photo(file="f" * 24 + ".jpg", sha256="f" * 64)
    edited(desk, "CD", 200, lambda u: with_photos(u, [Placed(at_step("T01"), p) for p in (there, nowhere)]))
    (desk / "units/R1/photos").mkdir()
    (desk / "units/R1/photos" / there.file).write_bytes(raw)
    report = join(bench, desk)
    assert report.records[0].pictures == 1
    assert (bench / "units/R1/photos" / there.file).read_bytes() == raw
    assert [x.what for x in record_of(bench).to_look_at] == [
        f"The original {nowhere.file} at T01 is in neither copy. Look for it."
    ]


def test_two_pictures_of_one_name_are_not_mixed_up(two: tuple[Path, Path]) -> None:
    bench, desk = two
    for book, by, raw in ((bench, "AB", b"ours"), (desk, "CD", b"theirs")):
        shot = Photo(file="lid.jpg", sha256=sha256(raw).hexdigest())
        edited(book, by, 100, lambda u, shot=shot: with_photos(u, [Placed(at_step("T01"), shot)]))  # type: ignore[misc]
        (book / "units/R1/photos").mkdir()
        (book / "units/R1/photos/lid.jpg").write_bytes(raw)
    join(bench, desk)
    assert (bench / "units/R1/photos/lid.jpg").read_bytes() == b"ours"
    (look,) = record_of(bench).to_look_at
    assert look.what.startswith("Another picture is called lid.jpg here, so that at T01 was not copied.")


def test_a_question_is_settled_once_and_undo_asks_again(two: tuple[Path, Path]) -> None:
    bench, desk = two
    edited(bench, "AB", 100, put(("notes",), "bench"))
    edited(desk, "CD", 200, put(("notes",), "desk"))
    join(bench, desk)
    with opened(bench, minutes=9500) as session:
        (look,) = session.unit("R1").to_look_at
        session.apply("R1", "chosen", lambda u: chosen(u, look, first=True))
        assert (session.unit("R1").notes, session.unit("R1").to_look_at) == ("bench", ())
        session.undo("R1")
        assert (session.unit("R1").notes, session.unit("R1").to_look_at) == ("desk", (look,))


def test_a_unit_that_was_handed_back_under_any_name_is_joined(two: tuple[Path, Path], tmp_path: Path) -> None:
    bench, desk = two
    edited(desk, "CD", 200, new_step("valve"))
    handed = tmp_path / "R1 back from CD"
    shutil.copytree(desk / "units/R1", handed)
    assert join(bench, handed).changes
    assert record_of(bench) == record_of(desk)


@pytest.mark.parametrize(
    "name",
    [
        "unit.history (conflicted copy 2026-03-12).jsonl",
        "unit.history.sync-conflict-20260312-120000-ABCDEFG.jsonl",
        "unit.history_conf(1).jsonl",
        "unit.history-desk.jsonl",
    ],
)
def test_a_conflict_copy_of_a_history_beside_the_record_is_joined(two: tuple[Path, Path], name: str) -> None:
    bench, desk = two
    apart(bench, desk)
    copy = bench / "units/R1" / name
    shutil.copy(desk / "units/R1/unit.history.jsonl", copy)
    with opened(bench, minutes=9000) as session:
        (stranger,) = session.strangers("R1")
        assert keep(session, propose(session, stranger.path)).changes
        assert session.unit("R1").step("T05") is not None
        assert not propose(session, stranger.path).report(session.on_shop_clock).changes


def test_a_document_without_its_history_is_not_joined_but_said(two: tuple[Path, Path]) -> None:
    bench, desk = two
    apart(bench, desk)
    copy = bench / "units/R1/unit (conflicted copy).json"
    shutil.copy(desk / "units/R1/unit.json", copy)
    report = join(bench, copy)
    assert "a document without its history" in report.not_joined[0]
    with opened(bench, minutes=9000) as session:
        session.close()
    shutil.copy(bench / "units/R1/unit.json", copy)
    assert join(bench, copy) == Report(copy.name, (), (), ()), "an older copy of this line has nothing new"


def test_no_folder_and_no_book_is_said(two: tuple[Path, Path], tmp_path: Path) -> None:
    for other in (tmp_path / "nowhere", tmp_path):
        with pytest.raises(InputError, match="no book, no folder of a unit"):
            join(two[0], other)
    with pytest.raises(InputError, match="is this book itself"):
        join(two[0], two[0])


def test_a_record_that_was_changed_meanwhile_is_not_joined(two: tuple[Path, Path]) -> None:
    bench, desk = two
    apart(bench, desk)
    with opened(bench, minutes=9000) as session:
        proposal = propose(session, desk)
        session.apply("R1", "in between", put(("notes",), "y"))
        with pytest.raises(InputError, match="was changed since it was looked at"):
            keep(session, proposal)


def states(book: Path) -> tuple[Unit, Unit, Shop]:
    with opened(book, minutes=9900) as session:
        assert session.look_through() == ()
        return session.unit("R1"), session.unit("K1"), session.shop


def test_a_kill_at_any_write_leaves_one_of_the_two_states(two: tuple[Path, Path], tmp_path: Path) -> None:
    bench, desk = two
    apart(bench, desk)
    edited(desk, "CD", 250, put(("notes",), "of the kettle"), code="K1")
    before = states(bench)
    work = tmp_path / "work"

    def joining(faults: Faults) -> None:
        shutil.rmtree(work, ignore_errors=True)
        shutil.copytree(bench, work)
        (work / ".lock").unlink(missing_ok=True)
        with faults.on():
            join(work, desk)

    counted = Faults()
    joining(counted)
    after = states(work)
    assert before[0] != after[0]
    assert before[1] != after[1]
    for at in range(1, counted.count + 1):
        with suppress(Death):
            joining(Faults(at, "half"))
        (work / ".lock").unlink(missing_ok=True)
        assert states(work) in (before, after), at
        join(work, desk)
        assert states(work) == after, at


# Version control


def git(folder: Path, *words: str) -> str:
    who = ["-c", "user.name=AB", "-c", "user.email=ab@example.org"]
    done = subprocess.run(["git", *who, *words], cwd=folder, check=True, capture_output=True, text=True)
    return done.stdout


@pytest.fixture
def repository(two: tuple[Path, Path]) -> Path:
    """The book at the bench in a repository, with a branch on which the desk wrote; the bench went on as well."""
    bench, desk = two
    git(bench, "init", "-q", "-b", "bench")
    git(bench, "add", "-A")
    git(bench, "commit", "-q", "-m", "one")
    git(bench, "checkout", "-q", "-b", "desk")
    edited(bench, "CD", 200, new_step("valve", NOON + timedelta(hours=1)), put(("steps", "T02", "bag"), "4"))
    git(bench, "commit", "-qam", "at the desk")
    shutil.rmtree(desk)
    shutil.copytree(bench, desk)
    git(bench, "checkout", "-q", "bench")
    edited(bench, "AB", 100, new_step("dial", NOON), put(("notes",), "x"))
    git(bench, "commit", "-qam", "at the bench")
    return bench


def test_a_book_that_version_control_put_together_is_joined_when_it_is_opened(repository: Path, tmp_path: Path) -> None:
    before = record_of(repository)
    by_command = tmp_path / "by command"
    shutil.copytree(repository, by_command)
    join(by_command, tmp_path / "desk")
    git(repository, "merge", "-q", "-m", "both", "desk")
    shown = record_of(repository)
    assert shown in (before, record_of(tmp_path / "desk")), "who only reads sees one of the two"
    with opened(repository, minutes=9000) as session:
        assert session.unit("R1") == record_of(by_command)
        assert not session.problems
        assert session.look_through() == ()
        assert session.undo("R1")
        assert session.unit("R1") == before
        session.redo("R1")
    git(repository, "add", "-A")
    git(repository, "commit", "-q", "-m", "joined")
    with opened(repository, minutes=9000) as session:
        assert session.unit("R1") == record_of(by_command)


def test_a_book_that_was_put_together_while_it_was_open_is_joined_when_it_is_read_again(
    repository: Path, tmp_path: Path
) -> None:
    by_command = tmp_path / "by command"
    shutil.copytree(repository, by_command)
    join(by_command, tmp_path / "desk")
    with opened(repository, minutes=9000) as session:
        before = session.unit("R1")
        git(repository, "merge", "-q", "-m", "both", "desk")
        assert session.poll() == ("R1",)
        assert session.unit("R1") == before
        session.read_again()
        assert session.unit("R1") == record_of(by_command)
        assert session.joined_by_itself == ["R1 is joined with its other copy, 1 thing to look at."]


def test_a_shorter_other_side_is_no_loss(repository: Path, tmp_path: Path) -> None:
    edited(repository, "AB", 150, *(put(("steps", "T01", "note"), f"note {n}") for n in range(5)))
    git(repository, "commit", "-qam", "more at the bench")
    by_command = tmp_path / "by command"
    shutil.copytree(repository, by_command)
    join(by_command, tmp_path / "desk")
    git(repository, "merge", "-q", "-m", "both", "desk")
    shutil.copy(tmp_path / "desk/units/R1/unit.json", repository / "units/R1/unit.json")
    with opened(repository, minutes=9000) as session:
        assert not session.problems
        assert session.unit("R1") == record_of(by_command)


def test_what_cannot_be_joined_at_opening_waits_and_the_book_opens(
    repository: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    git(repository, "merge", "-q", "-m", "both", "desk")

    def refuse(*_: object) -> None:
        raise InputError("They exclude each other.")

    with monkeypatch.context() as patch:
        patch.setattr("logbook.session.joining.joined", refuse)
        with opened(repository, minutes=9000) as session:
            assert session.unit("R1").step("T03") is not None
            assert any("one of the two is not joined yet" in said for said in session.problems)
            (waiting,) = session.strangers("R1")
            assert waiting.path.parent.name == "to-join"
    with opened(repository, minutes=9000) as session:
        assert keep(session, propose(session, waiting.path)).changes
        assert {"valve", "dial"} <= {s.what for s in session.unit("R1").steps}
        assert session.strangers("R1") == ()


def test_a_kill_while_it_is_joined_at_opening_loses_neither_side(repository: Path, tmp_path: Path) -> None:
    git(repository, "merge", "-q", "-m", "both", "desk")
    work = tmp_path / "work"

    def opening(faults: Faults) -> Unit:
        with faults.on(), opened(work, minutes=9000) as session:
            return session.unit("R1")

    def anew() -> None:
        shutil.rmtree(work, ignore_errors=True)
        shutil.copytree(repository, work)

    anew()
    counted = Faults()
    after = opening(counted)
    assert {"valve", "dial"} <= {s.what for s in after.steps}
    for at in range(1, counted.count + 1):
        anew()
        with suppress(Death):
            opening(Faults(at, "half"))
        (work / ".lock").unlink(missing_ok=True)
        assert opening(Faults()) == after, at


def test_a_step_taken_out_on_one_side_and_changed_on_the_other_stays(two: tuple[Path, Path]) -> None:
    bench, desk = two
    edited(bench, "AB", 100, lambda u: drop_step(u, "T02"))
    edited(desk, "CD", 200, put(("steps", "T02", "bag"), "4"))
    report = join(bench, desk)
    assert report.to_look_at == 1
    assert record_of(bench).step("T02") is not None
