"""A loose screw told from its measures, and looked for in the units of a book."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Sequence
from typing import TYPE_CHECKING

from logbook.cli.books import code_in
from logbook.errors import StoreError
from logbook.teardown.same_screw import ScrewPlace, likeliest, same_kind
from logbook.teardown.threads import Answer, Candidate, Screw, identify, measured, wood_or_machine

if TYPE_CHECKING:
    from logbook.session import Session


def identified(
    options: Namespace, session: Session
) -> tuple[Screw, Answer, list[tuple[Candidate, list[tuple[str, ScrewPlace]]]]]:
    """The screw as measured, what it can be, and for each thread that fits the places, with the code of their unit.

    Raises:
        InputError: a measure is none, or there is no such unit.
    """
    kind = wood_or_machine(options.kind)
    loose = measured(options.diameter, options.pitch, options.length, options.count, wood=kind)
    answer = identify(loose)
    codes = (code_in(session, options.unit),) if options.unit else session.codes()
    return loose, answer, [(c, _places(session, codes, loose, c)) for c in answer.candidates if c.fits]


def _places(session: Session, codes: Sequence[str], loose: Screw, candidate: Candidate) -> list[tuple[str, ScrewPlace]]:
    """The likeliest first, whatever unit it is in; the shelf once, at the end."""
    found: list[tuple[str, ScrewPlace]] = []
    shelf: list[tuple[str, ScrewPlace]] = []
    for code in codes:
        try:
            places = same_kind(loose, candidate.thread, session.unit(code), session.shop)
        except StoreError:  # named with the other problems of the book
            continue
        found += [(code, p) for p in places if p.step]
        shelf = [("", p) for p in places if not p.step]
    return sorted(found, key=lambda of: likeliest(of[1])) + shelf
