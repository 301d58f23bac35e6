"""Words that were looked for, shown where they stand."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.tui.look.inks import Line, Span, joined, typed


def marked(text: str, wanted: Sequence[str]) -> Line:
    """Words with those looked for in their ink; without, where capitals or accents would shift the letters."""
    folded = text.casefold()
    if len(folded) != len(text):
        return typed(text)
    inks = [""] * len(text)
    for word in (each.casefold() for each in wanted):
        at = folded.find(word)
        while at >= 0:
            inks[at : at + len(word)] = ["bold accent"] * len(word)
            at = folded.find(word, at + len(word))
    return joined(Span(letter, ink) for letter, ink in zip(text, inks, strict=True))
