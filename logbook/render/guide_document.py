"""A page of the guide, and the list of its topics, as text and for paper."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from logbook.model.guide_pages import BlockKind, GuideBlock, GuidePage, key_and_words, with_keys
from logbook.render.page import Page
from logbook.render.plain import width as width_of

KEY_COLUMNS = 8
"""Room for a key before what it does; a longer one pushes its words aside."""


def guide_text(page: GuidePage, key_of: Callable[[str], str], width: int = 80) -> Page:
    """One page of the guide.

    Args:
        page: the page.
        key_of: the key of an action, as bound now, by its name.
        width: columns of the text.
    """
    made = Page(width)
    made.ends(page.title, f"guide: {page.topic}")
    made.rule()
    add_to(made, page, key_of)
    return made


def whole_guide(pages: Iterable[GuidePage], key_of: Callable[[str], str], width: int = 80) -> Page:
    """Every page, each on a sheet of its own."""
    made = Page(width)
    for number, page in enumerate(pages):
        if number:
            made.new_page()
        made.ends(page.title, f"guide: {page.topic}")
        made.rule()
        add_to(made, page, key_of)
    return made


def add_to(made: Page, page: GuidePage, key_of: Callable[[str], str]) -> None:
    """What a page says, below its title."""
    made.say(with_keys(page.about, key_of))
    before = BlockKind.WORDS
    for block in page.blocks:
        if block.kind is BlockKind.HEAD:
            made.head(with_keys(block.words, key_of))
        else:
            goes_on = block.kind is before and block.kind is not BlockKind.WORDS
            if not goes_on and before is not BlockKind.HEAD:
                made.blank()
            _add(made, block.kind, block.words, key_of)
        before = block.kind


def _add(made: Page, kind: BlockKind, words: str, key_of: Callable[[str], str]) -> None:
    if kind is BlockKind.EXAMPLE:
        made.say(words, 4)
    elif kind is BlockKind.ITEM:
        keys, does = key_and_words(words)
        shown = with_keys(keys, key_of)
        gap = " " * max(2, KEY_COLUMNS - width_of(shown)) if shown else "- "
        made.item(shown + gap, with_keys(does, key_of))
    else:
        made.say(with_keys(words, key_of))


def block_lines(
    page: GuidePage, key_of: Callable[[str], str], width: int
) -> Iterator[tuple[GuideBlock, tuple[str, ...]]]:
    """Each block of a page with its lines, for a screen so wide."""
    for block in page.blocks:
        made = Page(width)
        if block.kind is BlockKind.HEAD:
            made.say(with_keys(block.words, key_of))
        else:
            _add(made, block.kind, block.words, key_of)
        yield block, tuple(made.text().rstrip("\n").split("\n"))


def topics_text(pages: Iterable[GuidePage], width: int = 80) -> Page:
    """The topics, a line each."""
    made = Page(width)
    made.ends("Guide", "logbook guide TOPIC, or F1 where you stand")
    made.rule()
    made.table([(page.topic, page.about) for page in pages], widest=1)
    return made
