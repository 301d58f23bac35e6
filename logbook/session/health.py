"""What lies beside the records and is not theirs: copies of a file-sync program, edits by hand, what was put aside."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from logbook.errors import StoreError
from logbook.model.base import Frozen
from logbook.session.record_states import to_state
from logbook.store import Document, Op
from logbook.store.foreign_files import history_beside


class Stranger(NamedTuple):
    """A file in a record's folder that is not the record's own."""

    code: str
    """The unit whose folder it lies in; empty for the shop."""
    path: Path
    aside: bool
    """The program itself put it aside, because it was damaged or did not go with the history."""
    known: bool = False
    """Everything in it is in the record, or was joined with it."""

    @property
    def sentence(self) -> str:
        """What it is and what can be done."""
        of = self.code or "the shop"
        if self.aside:
            return f"{of}: {self.path.name} does not go with the history and was put aside; Enter compares it."
        if self.known:
            return f"{of}: {self.path.name} is another copy of the record with nothing new in it; it can be deleted."
        if self.path.suffix == ".jsonl":
            return f"{of}: {self.path.name} is another copy of the record: J joins it; Enter compares it first."
        said = f"{of}: {self.path.name} is a copy of the document alone: Enter compares it, t takes it in whole."
        return f"{said} J joins {self.to_join.name}." if self.to_join != self.path else said

    @property
    def to_join(self) -> Path:
        """What joining takes: the history that came with a copy of the document, else the file itself."""
        return Path(history_beside(str(self.path)) or self.path)


def strangers_of(document: Document, code: str) -> tuple[Stranger, ...]:
    """Every such file of one record."""
    return tuple(
        Stranger(code, Path(path), Path(path).parent.name == "aside", document.knows(path))
        for path in document.strangers()
    )


def other_code(document: Document) -> str:
    """The code that the record itself says, when it is not that of its folder; empty when they agree.

    A folder that was copied or renamed by hand says another unit's code inside.
    """
    try:
        inside = document.state.get("code")
    except StoreError:
        return ""
    return "" if inside in (None, document.code) else str(inside)


def wrong_folder(document: Document) -> str:
    """The sentence for a record that lies in a folder of another name; empty when it does not."""
    inside = other_code(document)
    if not inside:
        return ""
    return (
        f"The folder {document.code} holds the record of {inside}, so it is not shown: it was copied or renamed by "
        f"hand. Rename the folder to {inside}, or take it out of the book's folder; nothing in it was changed."
    )


def differences(
    document: Document, stranger: Stranger, record: Frozen, now: datetime
) -> tuple[list[Op], list[Op], tuple[str, ...]]:
    """What the file says otherwise than the record: the change that would take it in, its inverse, and both in words.

    Moments are said by the clock of `now`.

    Raises:
        InputError: the file holds no record of this kind.
        StoreError: it cannot be read.
    """
    import jsonpatch

    from logbook.render.change_words import change_words

    do, undo = document.compare(str(stranger.path))
    before = to_state(record)
    after = jsonpatch.JsonPatch(do).apply(before)
    return do, undo, change_words(do, undo, after, before, now)
