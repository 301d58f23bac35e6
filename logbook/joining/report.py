"""What a joining does, or would do, as values that screens and commands put into words."""

from __future__ import annotations

from typing import NamedTuple

from logbook.model.apart import ToLookAt


def with_sides(said: str, *sides: tuple[str, str]) -> str:
    """A sentence that names the sides by who wrote: with what each of them is, here or the other copy.

    Args:
        said: the sentence.
        sides: for each side who wrote it, and what it is; one that is called nothing stays as it is.

    What stays in the record names nobody's “here”, because it is read on both computers.
    """
    if len({by for by, _ in sides}) < len(sides):
        return said
    for by, side in sides:
        said = said.replace(by, f"{side}: {by}") if by and side else said
    return said


class RecordReport(NamedTuple):
    """One unit, or the shop, that is joined."""

    code: str
    """Empty for the shop."""
    name: str
    by_here: str
    """Who wrote last here, and when."""
    by: str
    """Who wrote last on the other side, and when."""
    theirs: int
    """Changes of the other side that were not here."""
    ours: int
    """Changes here that the other side did not have."""
    comes_in: tuple[str, ...]
    """What of the other side is new here, in sentences."""
    numbers: tuple[str, ...]
    """What got a new number, in sentences."""
    to_look_at: tuple[ToLookAt, ...]
    pictures: int
    """Originals that are copied."""

    def with_sides(self, said: str) -> str:
        """A sentence that names the two sides by who wrote: with which of them is here and which the other copy."""
        return with_sides(said, (self.by_here, "here"), (self.by, "the other copy"))


class Report(NamedTuple):
    """All of it."""

    of: str
    """What was joined: the name of a book, a folder or a file."""
    records: tuple[RecordReport, ...]
    new_units: tuple[str, ...]
    """Units that were not here, with their names."""
    not_joined: tuple[str, ...]
    """What was left as it is, in sentences."""

    @property
    def changes(self) -> bool:
        """Whether anything is joined or taken in."""
        return bool(self.records or self.new_units)

    @property
    def to_look_at(self) -> int:
        """How many things are left to a person."""
        return sum(len(record.to_look_at) for record in self.records) + len(self.not_joined)
