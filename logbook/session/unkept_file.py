"""Changes that the disk refused, as a text to keep elsewhere; and the way back from that text into the book.

In words to read, and below each the same exactly: an object in one line, with the operations (RFC 6902) that lead
there and back, and the code of each thing on their way, so that no change lands in another thing than it was made in.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from functools import partial
from typing import Any, TypeVar

from logbook.errors import InputError, StoreError
from logbook.model.dates_in_words import day_year_time
from logbook.model.document import MOST_BYTES, structure_problems
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.session.fitting import State, after_change, things, without_touch
from logbook.session.opened import SHOP
from logbook.session.record_states import from_state, to_state
from logbook.session.session import Session
from logbook.session.unkept import Unkept

R = TypeVar("R", Unit, Shop)

HEAD = "Changes of the logbook that could not be kept."
"""The first line; it tells such a text from anything else."""
EXACTLY = '   {"change":'
"""How the line begins that says a change exactly."""


class Written(dict[str, Any]):
    """One change as it stands in the text."""

    @property
    def code(self) -> str:
        """The unit, or empty for the shop."""
        return str(self["record"])

    @property
    def what(self) -> str:
        """What was done, in words."""
        return str(self["change"])

    @property
    def name(self) -> str:
        """The change and its record, for a sentence."""
        return f"“{self.what}” of {self.code or 'the shop'}"


def written_down(changes: Iterable[Unkept], now: datetime) -> str:
    """The changes as such a text."""
    import orjson

    lines = [HEAD, f"Written down {day_year_time(now)}. “logbook import FILE” takes them in again."]
    for number, change in enumerate(changes, 1):
        do, undo = without_touch(change.do), without_touch(change.undo)
        exactly = {
            "change": change.what,
            "record": change.code,
            "do": do,
            "undo": undo,
            "in": things(to_state(change.before), do),
        }
        lines += ["", f"{number}. {change.code or 'shop'}: {change.what}", f"   Not kept: {change.why}"]
        lines += [f"   - {' '.join(words.split())}" for words in change.words()]
        lines.append(f"   {orjson.dumps(exactly).decode('utf-8')}")
    return "\n".join(lines) + "\n"


def is_unkept_text(raw: bytes) -> bool:
    """Whether the bytes of a file are such a text."""
    return raw.startswith(HEAD.encode("utf-8"))


def read_unkept(raw: bytes, named: str) -> tuple[Written, ...]:
    """The changes in such a text, oldest first.

    Raises:
        InputError: it holds none, or a line of it was changed by hand.
    """
    if len(raw) > MOST_BYTES:
        raise InputError(f"{named} is larger than {MOST_BYTES // 2**20} MB; nothing of it was taken in.")
    lines = raw.decode("utf-8", "replace").splitlines()
    found = tuple(_read(line, number, named) for number, line in enumerate(lines, 1) if line.startswith(EXACTLY))
    if not found:
        raise InputError(f"{named} holds no change that could be taken in: the lines that say them exactly are gone.")
    return found


def _read(line: str, number: int, named: str) -> Written:
    import orjson

    try:
        written = Written(orjson.loads(line))
        is_whole = (
            all(isinstance(written[key], str) for key in ("change", "record"))
            and all(_are_operations(written[key]) for key in ("do", "undo"))
            and isinstance(written["in"], dict)
        )
    except (ValueError, LookupError):
        is_whole = False
    if not is_whole:
        raise InputError(f"Line {number} of {named} cannot be read: it was changed or cut. Nothing was taken in.")
    return written


def _are_operations(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(one, dict) and isinstance(one.get("path"), str) for one in value)


def take_unkept_in(session: Session, changes: Iterable[Written]) -> str:
    """Take the changes into the book, each as it was made; what was done, in a sentence.

    One that the history has already is not made twice, so that a text can be taken in again.

    Raises:
        InputError: one does not fit its record as it stands now; nothing was changed.
        StoreError: the book cannot be written.
    """
    changes = tuple(changes)
    new = [change for change in changes if not _is_kept(session, change)]
    states: dict[str, State] = {}
    for change in new:
        state = states.get(change.code) or to_state(_record(session, change.code))
        states[change.code] = _fitted(state, change)
        _checked(states[change.code], change)
    for change in new:
        if change.code == SHOP:
            session.apply_shop(change.what, partial(_changed, kind=Shop, change=change))
        else:
            session.apply(change.code, change.what, partial(_changed, kind=Unit, change=change))
    return _said(len(new), len(changes) - len(new))


def _said(new: int, kept: int) -> str:
    before = f" {kept} {'was' if kept == 1 else 'were'} kept already." if kept else ""
    if not new:
        return f"Nothing was taken in:{before}"
    return f"Taken in: {new} change{'' if new == 1 else 's'} that could not be kept.{before}"


def _record(session: Session, code: str) -> Unit | Shop:
    return session.shop if code == SHOP else session.unit(code)


def _is_kept(session: Session, change: Written) -> bool:
    """Whether the history of its record has this very change."""
    _record(session, change.code)  # a unit that is not there is said
    entries = session.entries(change.code)
    return any(entry.what == change.what and without_touch(entry.do) == change["do"] for entry in entries)


def _fitted(state: State, change: Written) -> State:
    """The state after a change. Raises InputError when it was made in another thing, or over another value."""
    return after_change(state, change["do"], change["undo"], change["in"], change.name)


def _checked(state: State, change: Written) -> None:
    """Raises InputError when the state is no record that a book takes."""
    record: Unit | Shop
    try:
        record = _made(Shop, state, SHOP) if change.code == SHOP else _made(Unit, state, change.code)
    except StoreError as error:
        raise InputError(f"{change.name} leaves no record that can be kept. Nothing was taken in.") from error
    if isinstance(record, Unit) and (problem := next(iter(structure_problems(record)), None)):
        raise InputError(f"{change.name} cannot be taken in: {problem} Nothing was changed.")


def _changed(record: R, *, kind: type[R], change: Written) -> R:
    return _made(kind, _fitted(to_state(record), change), change.code)


def _made(kind: type[R], state: State, code: str) -> R:
    return from_state(kind, state, code or "the shop")
