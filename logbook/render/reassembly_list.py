"""The reassembly list as text to take to the bench, and as values for JSON.

What must be known comes first: guesses, what was found wrong, open counts. Then the lines, then the audit,
what was left out and why, and what is still open before the unit can be closed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from functools import partial
from typing import Any

from logbook.model.left_by_joining import left_open
from logbook.model.plural import counted
from logbook.model.proofs import DangerStanding, proof_on_paper
from logbook.model.step import Hazard, Photo
from logbook.model.unit import LineState, Unit
from logbook.model.words import AT_REST, PhotoKind
from logbook.reassembly import (
    Ledger,
    Progress,
    Readiness,
    RefitLine,
    RefitList,
    changed_words,
    free_of_each_other,
    ledger,
    left_over,
    ready_order,
    standing,
)
from logbook.reassembly.refit_records import Notice
from logbook.reassembly.wording import bag_order, ranged
from logbook.render.blocks import Picture, Sign
from logbook.render.page import CAUTION, Page, moment_words
from logbook.render.reassembly_line_document import kept_back_by, set_line, states_of
from logbook.render.values import plain_values
from logbook.teardown.left_as import left_words, still_as_left


def reassembly_text(
    unit: Unit,
    listed: RefitList,
    ready: Mapping[str, Readiness],
    *,
    version: int,
    kept_at: datetime | None,
    now: datetime,
    ready_only: bool = False,
    width: int = 80,
) -> str:
    """The reassembly list of a unit as text; arguments as of `reassembly_page`, which makes it."""
    page = reassembly_page(
        unit, listed, ready, version=version, kept_at=kept_at, now=now, ready_only=ready_only, width=width
    )
    return page.text()


def reassembly_page(
    unit: Unit,
    listed: RefitList,
    ready: Mapping[str, Readiness],
    *,
    version: int,
    kept_at: datetime | None,
    now: datetime,
    ready_only: bool = False,
    photos: bool = False,
    width: int = 80,
) -> Page:
    """The reassembly list of a unit.

    Args:
        unit: whose list it is.
        listed: `refit_list(unit)`.
        ready: `readiness(unit, listed, now)`.
        version: number of the last change of the record, so that paper says what it came from.
        kept_at: when that change was kept.
        now: when this is printed.
        ready_only: only what can be done now and what follows from it, in an order that respects the relations.
        photos: whether photos of the steps stand at their lines.
        width: columns of plain text.
    """
    page = Page(width)
    page.ends(f"{unit.code} {unit.name}", "WHAT CAN BE DONE NOW" if ready_only else "REASSEMBLY LIST")
    page.ends(f"record version {version}, kept {moment_words(kept_at, now)}", f"printed {moment_words(now)}")
    page.rule()
    page.say(CAUTION)
    page.say(
        "Left, right, front, back, top and bottom are as its user sees them when it stands in its place, "
        "however it lies now."
    )
    if left := _left_as(unit, now):
        page.say(left)
    page.say(f"{standing(unit, listed, now).sentence}{_ready_now(unit, listed, ready)}")
    for sentence in listed.sets:
        page.say(sentence)
    account = ledger(unit)
    _know_first(page, listed, account, [look.what for look in left_open(unit)])
    lines = ready_order(unit, listed, now) if ready_only else listed.lines
    progress = Progress(unit, listed, now)
    changed = {line.key: changed_words(progress, line) for line in listed.lines}
    kept_back = {line.key: kept_back_by(listed, line, progress.open_holds) for line in listed.holding}
    shown = {s.code: s.photos for s in unit.steps if s.photos} if photos else {}
    _lines(
        page,
        listed,
        lines,
        ready,
        states=states_of(unit),
        changed=changed,
        kept_back=kept_back,
        photos=shown,
        proved=partial(proof_on_paper, unit, now=now),
    )
    _side_by_side(page, unit, listed, ready, now_only=ready_only)
    if ready_only:
        _not_ready(page, listed, ready)
    else:
        _audit(page, account)
        _left(page, unit, listed, ready)
    page.blank()
    page.rule()
    page.ends(f"{unit.code} {unit.name}, version {version}", "end of the list")
    return page


def _left_as(unit: Unit, now: datetime) -> str:
    """How it was left, what nobody may do first, and since when; empty when nobody said."""
    left = left_words(unit)
    if not left or unit.left_as is None:
        return left
    since = "" if still_as_left(unit) else " Steps were done since."
    return f"{left} Said {moment_words(unit.left_as.at, now)}.{since}"


def _ready_now(unit: Unit, listed: RefitList, ready: Mapping[str, Readiness]) -> str:
    """Which lines can be done at once, by their numbers; nothing when the unit is closed or stopped."""
    if unit.stage in AT_REST:
        return ""
    numbers = [line.number for line in listed.lines if ready[line.key].ready]
    return f" To be done now: {ranged(numbers)}." if numbers else ""


def _know_first(page: Page, listed: RefitList, account: Ledger, left: Sequence[str]) -> None:
    if listed.guesses or listed.as_found_wrong or account.open or listed.gone or left:
        page.head("Know before starting")
    for said in left:
        page.item(f"{'JOINED':<16}", said)
    _notices(page, "GUESS", listed.guesses)
    _notices(page, "AS FOUND WRONG", listed.as_found_wrong)
    for difference in account.open:
        page.item(f"{'COUNT DIFFERS':<16}", difference.sentence)
    _notices(page, "NO LONGER THERE", listed.gone)


def _notices(page: Page, word: str, notices: Sequence[Notice]) -> None:
    for notice in notices:
        page.item(f"{word:<16}{notice.step}  ", notice.sentence)


def _lines(
    page: Page,
    listed: RefitList,
    lines: Sequence[RefitLine],
    ready: Mapping[str, Readiness],
    *,
    states: Mapping[str, LineState],
    changed: Mapping[str, str],
    kept_back: Mapping[str, str],
    photos: Mapping[str, Sequence[Photo]],
    proved: Callable[[Hazard], str],
) -> None:
    page.head("Lines")
    if not lines:
        page.say("Nothing can be done now." if listed.lines else "Nothing was taken off yet, so nothing goes back.")
    names, inside = {x.code: x.name for x in listed.inside}, ""
    for line in lines:
        page.blank()
        if line.inside != inside:
            inside = line.inside
            page.say(f"-- {f'inside {names.get(inside, inside)}' if inside else 'the unit itself'} --")
        with page.together():
            look_again, kept = changed[line.key], kept_back.get(line.key, "")
            set_line(page, line, ready[line.key], states, look_again=look_again, kept_back=kept, proved=proved)
            page.pictures((Picture(p.file, p.caption) for p in _best(line, photos)), beside=True)


MOST_PHOTOS = 2
"""Photos at one line; the list is to stay a few pages."""
_FIRST_SHOWN = (PhotoKind.POINTING, PhotoKind.CLOSE, PhotoKind.WIDE, PhotoKind.BEFORE)


def _best(line: RefitLine, photos: Mapping[str, Sequence[Photo]]) -> Sequence[Photo]:
    """The photos that help most at a line: the hand that points first, then close ones."""
    found = [p for code in line.steps for p in photos.get(code, ()) if p.kind in _FIRST_SHOWN]
    return sorted(found, key=lambda p: _FIRST_SHOWN.index(p.kind))[:MOST_PHOTOS]


def _side_by_side(page: Page, unit: Unit, listed: RefitList, ready: Mapping[str, Readiness], *, now_only: bool) -> None:
    """Lines that are free of each other, so that they can be done in any order or by two people at once."""
    now = [line.key for line in listed.lines if ready[line.key].ready]
    groups = ([now] if len(now) > 1 else []) if now_only else free_of_each_other(unit)
    if groups:
        page.head("Side by side")
        page.say("Free of each other: in any order, or by two people at once.")
    for group in groups:
        page.item("- ", ", ".join(_named(listed.by_key[key]) for key in group))


def _named(line: RefitLine) -> str:
    return f"{line.number} {line.title}"


def _not_ready(page: Page, listed: RefitList, ready: Mapping[str, Readiness]) -> None:
    held_up = [line for line in listed.lines if not ready[line.key].in_reach]
    if held_up:
        page.head("Not ready, and why")
    for line in held_up:
        now = ready[line.key]
        why = " ".join((*now.missing, *now.holds)) or f"waits for {_undone_before(listed, line, ready)}."
        page.item(f"{line.number}  ", f"{line.title}: {why}")


def _undone_before(listed: RefitList, line: RefitLine, ready: Mapping[str, Readiness]) -> str:
    """Numbers of the lines that are to be done right before one, or of its lump before."""
    inside = {line.key, *line.together}
    keys = dict.fromkeys(k for mate in inside for k in listed.by_key[mate].must_follow if k not in inside)
    undone = sorted((listed.by_key[k] for k in keys if not ready[k].done), key=lambda x: x.number)
    return ", ".join(map(_with_hold, undone)) or "what goes back with it"


def _with_hold(line: RefitLine) -> str:
    """`A05`, or `A01 (hold point H1)`."""
    return f"{line.number} (hold point {line.hold.code})" if line.hold is not None else line.number


def _audit(page: Page, account: Ledger) -> None:
    t = account.total
    page.head("Audit")
    page.say(f"Fasteners: {t.holes} holes, {t.found} found = {t.fates}.")
    page.say(f"The refit takes {t.refit}: {t.refit - t.new} old and {t.new} new.")
    if account.pieces.holes:
        p = account.pieces
        page.say(f"Loose pieces, such as shims: {p.found} found, {p.refit} go back, {p.new} of them new.")
    for bag in sorted(account.bags.values(), key=lambda b: bag_order(b.bag)):
        kinds = ", ".join(f"{count} {kind}" for kind, count in bag.kinds.items())
        page.item((Sign.BOX, f" bag {bag.bag} empty  "), f"held {bag.total}: {kinds} ({', '.join(bag.steps)})")
    if account.without_bag:
        page.item((Sign.BOX, " "), f"{account.without_bag} to use again lie in no bag by the record")
    for made in account.connections:
        if not made.key:
            page.item(f"    {made.code}  ", f"not made at any line: {made.why} ({made.step})")


def _left(page: Page, unit: Unit, listed: RefitList, ready: Mapping[str, Readiness]) -> None:
    if listed.left_out:
        page.head("Left out, and why")
    for out in listed.left_out:
        page.item(f"{out.step}  ", out.why)
    undone = [line.key for line in listed.lines if not ready[line.key].done]
    still = [thing for thing in left_over(unit, listed) if thing.about not in undone]
    if still or undone:
        page.head("Still to do before the unit can be closed")
    if undone:
        page.item(
            (Sign.BOX, " "),
            f"{len(undone)} of {counted(len(listed.lines), 'line')} {'is' if len(undone) == 1 else 'are'} not done.",
        )
    for thing in still:
        page.item((Sign.BOX, " "), thing.sentence)


def reassembly_data(
    unit: Unit,
    listed: RefitList,
    ready: Mapping[str, Readiness],
    *,
    version: int,
    kept_at: datetime | None,
    now: datetime,
    ready_only: bool = False,
) -> dict[str, Any]:
    """The same as values for JSON; arguments as of `reassembly_text`."""
    states = states_of(unit)
    lines = ready_order(unit, listed, now) if ready_only else listed.lines
    stands = DangerStanding(unit, now)
    progress = Progress(unit, listed, now)

    def one(line: RefitLine) -> dict[str, Any]:
        kept = {k: states[k] for k in dict.fromkeys((line.key, *line.tick_keys)) if k in states}
        proved = {h.what: stands(h) for h in line.hazards}
        changed = changed_words(progress, line)
        more = {"readiness": ready[line.key], "kept": kept, "proved": proved}
        values = {name: plain_values(value) for name, value in more.items()}
        return {**plain_values(line), **values, "look_again": bool(changed), "changed": changed}

    return {
        "unit": {"code": unit.code, "name": unit.name},
        "version": version,
        "kept_at": plain_values(kept_at),
        "printed_at": plain_values(now),
        "standing": plain_values(standing(unit, listed, now)),
        "guesses": plain_values(listed.guesses),
        "as_found_wrong": plain_values(listed.as_found_wrong),
        "lines": [one(line) for line in lines],
        "left_out": plain_values(listed.left_out),
        "gone": plain_values(listed.gone),
        "inside": plain_values(listed.inside),
        "sets": plain_values(listed.sets),
        "free_of_each_other": plain_values(free_of_each_other(unit)),
        "ledger": plain_values(ledger(unit)),
        "left_over": plain_values(left_over(unit)),
        "caution": CAUTION,
    }
