"""What `logbook photos` does: link a folder, list what is left over, check the originals, copy them out."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from datetime import timedelta, tzinfo
from pathlib import Path
from typing import TYPE_CHECKING, Any

from logbook.cli.books import CommandCall, code_in
from logbook.cli.output import write
from logbook.cli.shared import say_problems, width, write_json
from logbook.errors import InputError
from logbook.model.plural import counted
from logbook.render.page import Page
from logbook.render.plain import clean

if TYPE_CHECKING:
    from logbook.photos.linking import CameraOffset, Proposal
    from logbook.session import Session
    from logbook.session.unit_photos import Looked

KEPT = {"certain": ("certain",), "likely": ("certain", "likely"), "all": ("certain", "likely", "unsure")}
"""Which links `--keep` keeps."""


def link(call: CommandCall) -> int:
    """Propose where the pictures of a folder belong, and link them when asked."""
    from logbook.session.unit_photos import (
        known_photos,
        look_through,
        pictures_in,
        proposal,
    )

    options = call.options
    with call.write() if options.keep else call.read() as session:
        codes = [code_in(session, typed) for typed in options.units] or list(session.codes())
        zone = session.zone
        paths = pictures_in(Path(options.folder).expanduser())
        looked = look_through(paths, known_photos(session), zone=zone, cards=not options.no_cards, progress=_progress())
        clocks = _clocks(call, session, looked, codes, zone)
        looked = _without_the_clock(looked, options.clock_picture)
        made = proposal(session, looked, codes, clocks)
        kept = _keep(session, made, looked, clocks, options.keep) if options.keep else ""
        if options.as_json:
            write_json(_link_data(made, looked, clocks, kept))
        else:
            write(_link_text(made, looked, clocks, kept, width(call)))
        say_problems(session)
    return 0


def _progress() -> Callable[[int, int], None] | None:
    """Tells on the error output how far it is, where a person is watching."""
    stream = sys.stderr
    if stream is None or not stream.isatty():
        return None

    def tell(done: int, of: int) -> None:
        if done % 10 == 0:
            write(f"\rlooked at {done} of {of} pictures ", stream)

    return tell


def _clocks(
    call: CommandCall, session: Session, looked: Looked, codes: list[str], zone: tzinfo
) -> dict[str, CameraOffset]:
    from logbook.photos.camera_clock import from_words
    from logbook.session.unit_photos import best_clocks

    options = call.options
    if options.clock is not None:
        clock = from_words(options.clock)
        return dict.fromkeys({f.taken.camera for f in looked.found}, clock)
    if options.clock_picture is not None or options.shows is not None:
        return _clock_picture(options.clock_picture, options.shows, zone)
    return best_clocks(looked, session, codes)


def _clock_picture(file: str | None, shows: str | None, zone: tzinfo) -> dict[str, CameraOffset]:
    from logbook.photos.camera_clock import from_picture
    from logbook.session.unit_photos import look_through

    if not file or not shows:
        raise InputError("A picture of a clock needs both --clock-picture FILE and --shows TIME.")
    looked = look_through([Path(file).expanduser()], {}, zone=zone, cards=False)
    if looked.problems:
        raise InputError(looked.problems[0])
    taken = looked.found[0].taken
    if taken.at is None:
        raise InputError(f"{Path(file).name} does not say when it was taken, so it says nothing of the camera's clock.")
    return {taken.camera: from_picture(taken.at, shows, taken.at.astimezone(zone))}


def _without_the_clock(looked: Looked, file: str | None) -> Looked:
    """What was found, without the picture of the clock, which shows no step."""
    if not file:
        return looked
    of_clock = Path(file).expanduser().resolve()
    return looked._replace(found=tuple(f for f in looked.found if f.path.resolve() != of_clock))


def _keep(session: Session, made: Proposal, looked: Looked, clocks: Mapping[str, CameraOffset], keep: str) -> str:
    from logbook.session.unit_photos import keep_pictures, wanted_of

    chosen = made._replace(links=tuple(x for x in made.links if x.certainty.value in KEPT[keep]))
    return keep_pictures(session, wanted_of(chosen, looked, clocks))


def _what_next(made: Proposal, looked: Looked) -> str:
    """What a person can do about a proposal that was only shown."""
    if made.links:
        return "Nothing was changed. --keep certain, --keep likely or --keep all links them."
    if not looked.found:
        return "There is no picture in that folder. Name the folder that the phone's pictures were copied to."
    if all(f.known_at for f in looked.found):
        return "Every picture of that folder is in the record already."
    return "Nothing was changed. None of them can be linked by time or card; link them by hand in the interface (8, a)."


def _link_text(made: Proposal, looked: Looked, clocks: Mapping[str, CameraOffset], kept: str, columns: int) -> str:
    page = Page(columns)
    counts = {word: sum(1 for x in made.links if x.certainty == word) for word in ("certain", "likely", "unsure")}
    known = [f for f in looked.found if f.known_at]
    page.say(
        f"{len(looked.found)} pictures: {counts['certain']} certain, {counts['likely']} likely, {counts['unsure']} "
        f"unsure, {len(made.orphans)} belong to no step, {len(known)} are in the record already."
    )
    for camera, clock in clocks.items():
        page.say(f"Clock of {camera or 'the camera'}: {clock_words(clock)}.")
    rows = [(Path(x.photo).name, f"{x.unit} {x.step}", x.certainty.value, x.why) for x in made.links]
    if rows:
        page.head("Where they belong")
        page.table(rows, widest=3)
    if made.orphans:
        page.head("At no step")
        page.table([(Path(name).name, why) for name, why in made.orphans], widest=1)
    if made.without:
        page.head("Steps without their photo")
        page.say(", ".join(f"{unit} {step}" for unit, step in made.without))
    if looked.problems:
        page.head("Not taken")
        for sentence in looked.problems:
            page.item("- ", sentence)
    page.blank()
    page.say(kept or _what_next(made, looked))
    return page.text()


def clock_words(clock: CameraOffset) -> str:
    """How far a camera's clock is off, in words."""
    return f"{_span(clock.ahead)}, give or take {_seconds(clock.doubt)}; {clock.why}"


def _span(ahead: timedelta) -> str:
    if abs(ahead) < timedelta(seconds=1):
        return "right"
    return f"{_seconds(abs(ahead))} {'fast' if ahead > timedelta() else 'slow'}"


def _seconds(span: timedelta) -> str:
    whole = round(span.total_seconds())
    minutes, seconds = divmod(whole, 60)
    return f"{seconds} s" if not minutes else f"{minutes} min {seconds} s"


def _link_data(made: Proposal, looked: Looked, clocks: Mapping[str, CameraOffset], kept: str) -> dict[str, Any]:
    return {
        "links": [
            {"file": x.photo, "unit": x.unit, "step": x.step, "certainty": x.certainty.value, "why": x.why}
            for x in made.links
        ],
        "orphans": [{"file": name, "why": why} for name, why in made.orphans],
        "without": [{"unit": unit, "step": step} for unit, step in made.without],
        "known": [{"file": str(f.path), "at": f.known_at} for f in looked.found if f.known_at],
        "refused": list(looked.problems),
        "clocks": {
            camera: {
                "ahead_seconds": round(clock.ahead.total_seconds()),
                "doubt_seconds": round(clock.doubt.total_seconds()),
                "why": clock.why,
            }
            for camera, clock in clocks.items()
        },
        "kept": kept,
    }


def orphans(call: CommandCall) -> int:
    """List photos at no step, files that no record names, and steps that lack their photo."""
    from logbook.session.unit_photos import unrecorded

    with call.read() as session:
        data = {}
        for code in _codes(call, session):
            unit = session.unit(code)
            data[code] = {
                "at_no_step": [p.caption or p.file for p in unit.photos],
                "in_no_record": list(unrecorded(session, code)),
                "steps_without": [s.code for s in unit.steps if s.photo_taken and not s.photos],
            }
        if call.options.as_json:
            write_json(data)
        else:
            write(_orphan_text(data, width(call)))
        say_problems(session)
    return 0


def _orphan_text(data: Mapping[str, Mapping[str, list[str]]], columns: int) -> str:
    page = Page(columns)
    heads = (
        ("at_no_step", "at the unit as a whole"),
        ("in_no_record", "in its folder and in no record"),
        ("steps_without", "whose photo is not linked"),
    )
    said = False
    for code, found in data.items():
        for key, words in heads:
            if found[key]:
                said = True
                number = len(found[key])
                many = counted(number, "step" if key == "steps_without" else "photo")
                page.item(f"{code}  ", f"{many} {words}: {', '.join(found[key])}")
    if not said:
        page.say("Every photo belongs to a step, and every step has the photo that was taken of it.")
    return page.text()


def check(call: CommandCall) -> int:
    """Read every original; 1 when one is not what was kept."""
    from logbook.model.photo_edits import photos_of
    from logbook.session.unit_photos import photo_problems

    with call.read() as session:
        codes = _codes(call, session)
        said = [sentence for code in codes for sentence in photo_problems(session, code)]
        count = sum(1 for code in codes for _ in photos_of(session.unit(code)))
        if call.options.as_json:
            write_json({"photos": count, "problems": said})
        else:
            page = Page(width(call))
            page.say(f"{count} photo{'' if count == 1 else 's'} looked at, {len(said)} not as kept.")
            for sentence in said:
                page.item("- ", sentence)
            write(page.text())
    return 1 if said else 0


def export(call: CommandCall) -> int:
    """Copy a unit's photos out."""
    from logbook.session.unit_photos import write_out

    with call.read() as session:
        code = code_in(session, call.options.unit)
        folder = Path(call.options.folder).expanduser()
        written, problems = write_out(session, code, folder, with_place=call.options.with_place)
    place = "with all that the camera wrote" if call.options.with_place else "without the place they were taken at"
    if call.options.as_json:
        write_json({"written": written, "folder": str(folder), "problems": list(problems)})
    else:
        write(clean(f"{written} photo{'' if written == 1 else 's'} written to {folder}, {place}.", limit=500) + "\n")
        for sentence in problems:
            write(f"logbook: {clean(sentence, limit=500)}\n", sys.stderr)
    return 1 if problems else 0


def _codes(call: CommandCall, session: Session) -> list[str]:
    return [code_in(session, call.options.unit)] if call.options.unit else list(session.codes())


DOES: Mapping[str, Callable[[CommandCall], int]] = {"link": link, "orphans": orphans, "check": check, "export": export}
"""What each word after `logbook photos` does."""
