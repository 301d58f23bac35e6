"""The guide inside the program: one page a topic, as files in `templates/guide`.

A page is a title (`# Bench line`), a sentence that says what it is for, then paragraphs, headings (`## At the desk`),
items (`- …`) and examples (four blanks before them). In its words `{bench.new}` stands for the key of that action,
`` `logbook bench` `` for a command, `*stop line*` for a field of a form, so that tests hold each to what there is.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum

from logbook.errors import InputError
from logbook.model.templates import template_bytes

TOPICS = (
    "start", "arrival", "bench-line", "pairs", "holds", "photos", "phone", "order", "back-together", "case",
    "pile-and-saw", "costs", "to-buy", "work-and-plan", "paper", "several-computers", "two-copies", "settings",
    "keys", "letters", "commands", "numbers",
)  # fmt: skip
"""Every topic, in the order in which a unit meets it."""

_KEY = re.compile(r"\{([a-z_]+(?:\.[a-z_0-9]+)?)\}")
_MARKED = re.compile(r"`([^`]+)`|\*([^*]+)\*")


class BlockKind(StrEnum):
    """What a piece of a page is."""

    HEAD = "head"
    WORDS = "words"
    ITEM = "item"
    EXAMPLE = "example"


@dataclass(frozen=True, slots=True)
class GuideBlock:
    """A paragraph, a heading, an item or an example, as it stands in the file, in one line."""

    kind: BlockKind
    words: str


@dataclass(frozen=True, slots=True)
class GuidePage:
    """One topic."""

    topic: str
    title: str
    about: str
    """What it is for, in a sentence."""
    blocks: tuple[GuideBlock, ...]

    @property
    def actions(self) -> tuple[str, ...]:
        """The actions whose keys it names."""
        return tuple(found for text in self._texts() for found in _KEY.findall(text))

    @property
    def commands(self) -> tuple[str, ...]:
        """The commands it names, with their words."""
        quoted = (code for text in self._texts() for code, _ in _MARKED.findall(text))
        return tuple(words for words in quoted if words.split()[:1] == ["logbook"])

    @property
    def fields(self) -> tuple[str, ...]:
        """The fields of forms that it names."""
        return tuple(field for text in self._texts() for _, field in _MARKED.findall(text) if field)

    @property
    def examples(self) -> tuple[str, ...]:
        """What could be typed, line by line."""
        return tuple(b.words for b in self.blocks if b.kind is BlockKind.EXAMPLE)

    def _texts(self) -> Iterator[str]:
        yield self.about
        for block in self.blocks:
            if block.kind is not BlockKind.EXAMPLE:
                yield block.words


def guide_page(topic: str) -> GuidePage:
    """The page of a topic, or of the one topic that has these letters in its name.

    Raises:
        InputError: there is no such topic; those that are meant, or all, are named.
    """
    name = topic.strip().lower().replace(" ", "-").replace("_", "-")
    meant = [t for t in TOPICS if name and name in t]
    if name not in TOPICS and len(meant) == 1:
        name = meant[0]
    if name not in TOPICS:
        meant = meant or get_close_matches(name, TOPICS, n=2)
        which = f"Did you mean {' or '.join(meant)}?" if meant else f"There are: {', '.join(TOPICS)}."
        raise InputError(f"The guide has no page “{topic.strip()[:40]}”. {which}")
    return read_page(name, template_bytes(f"guide/{name}.md").decode("utf-8"))


def guide() -> tuple[GuidePage, ...]:
    """Every page, in order. Raises as `guide_page`."""
    return tuple(guide_page(topic) for topic in TOPICS)


def read_page(topic: str, text: str) -> GuidePage:
    """A page from the text of its file."""
    pieces = [piece for piece in re.split(r"\n\s*\n", text.strip("\n")) if piece.strip()]
    title, about, *rest = pieces
    blocks = tuple(block for piece in rest for block in _blocks(piece))
    return GuidePage(topic, title.removeprefix("# ").strip(), " ".join(about.split()), blocks)


def _blocks(piece: str) -> Iterator[GuideBlock]:
    """The blocks of lines that stand together: a paragraph, a heading, items one below the other, or examples."""
    lines = piece.split("\n")
    if all(line.startswith("    ") for line in lines):
        yield from (GuideBlock(BlockKind.EXAMPLE, line.strip()) for line in lines)
    elif piece.startswith("## "):
        head, *rest = lines
        yield GuideBlock(BlockKind.HEAD, head.removeprefix("## ").strip())
        if rest:
            yield from _blocks("\n".join(rest))
    elif piece.startswith("- "):
        for item in re.split(r"\n(?=- )", piece):
            yield GuideBlock(BlockKind.ITEM, " ".join(item.removeprefix("- ").split()))
    else:
        words, mark, items = piece.partition("\n- ")
        yield GuideBlock(BlockKind.WORDS, " ".join(words.split()))
        if mark:
            yield from _blocks(f"- {items}")


def with_keys(words: str, key_of: Callable[[str], str]) -> str:
    """The words with the key of each action in the place of its name, commands and fields in quotes."""
    named = _KEY.sub(lambda found: key_of(found[1]), words)
    return _MARKED.sub(lambda found: f"“{found[1] or found[2]}”", named)


def key_and_words(item: str) -> tuple[str, str]:
    """An item parted into the keys it begins with (`{bench.new}: …`) and what they do; no keys, no mark."""
    begins = re.match(r"((?:\{[^}]+\}(?:, | to | or )?)+): (.*)", item)
    return (begins[1], begins[2]) if begins else ("", item)
