"""What each letter means over the whole program: one meaning each, and where a place still means something else.

The page of the guide, the help of a place and the test of it all come from this one table.
"""

from __future__ import annotations

from collections import defaultdict
from functools import cache
from typing import NamedTuple

from logbook.model.guide_pages import BlockKind, GuideBlock, GuidePage, guide_page
from logbook.tui.places import places

PAGE = "letters"
"""The page of the guide that lists them."""


class Letter(NamedTuple):
    """What a letter means, and the labels under which places mean just that."""

    meaning: str
    labels: tuple[str, ...]


MEANINGS = {
    "a": Letter("add", ("add", "component", "add cost", "type", "folder", "link a folder", "arrow", "free hours")),
    "A": Letter("add or take the others as well", ("part", "take all", "also", "together", "ring")),
    "b": Letter("bench mode", ("bench mode",)),
    "B": Letter("bill", ("bill",)),
    "c": Letter("count", ("count a bag", "wires")),
    "C": Letter("cut list", ("cut list",)),
    "d": Letter("what became of it", ("becomes", "differs")),
    "D": Letter("dangers", ("dangers",)),
    "e": Letter("on paper, or into a file", ("on paper", "cut sheet", "write to a file")),
    "E": Letter("edit what stands there", ("edit line", "all fields", "put right", "measure", "clock")),
    "f": Letter("finished", ("finished", "piece done")),
    "F": Letter("from a file", ("take in",)),
    "g": Letter("in groups", ("whole order", "by fence")),
    "G": Letter("of which stage or kind", ("stage", "kind")),
    "h": Letter("it is here", ("here", "here, done")),
    "H": Letter("history", ("history",)),
    "i": Letter("what if", ("what if",)),
    "I": Letter("which screw", ("which screw",)),
    "J": Letter("join another copy", ("join",)),
    "K": Letter(
        "keep: the plan, links, a piece for a unit, what was refused",
        ("keep plan", "link them", "reserve", "try again"),
    ),
    "l": Letter("limit", ("stop line",)),
    "L": Letter("layout", ("layout", "lay out again")),
    "m": Letter("what is missing: to complete, to buy", ("missing", "one missing", "to buy", "before closing")),
    "M": Letter("as it was left", ("as it was left",)),
    "n": Letter("note", ("note", "note on it")),
    "N": Letter("what now", ("what now",)),
    "o": Letter("order", ("order", "heaviest first", "ready first")),
    "O": Letter("opened or ordered today", ("opened", "ordered")),
    "p": Letter("plan", ("plan",)),
    "P": Letter("phone", ("phone",)),
    "q": Letter("leave", ("leave",)),
    "r": Letter("reading", ("reading", "hold")),
    "R": Letter("read again", ("read again",)),
    "s": Letter("sets, and one of a set", ("sets", "member")),
    "S": Letter("sub-assemblies", ("sub-assemblies",)),
    "t": Letter(
        "take over, what it took", ("take", "taken", "take in", "take over", "take computed", "from paper", "thickness")
    ),
    "T": Letter("take over the writing", ("take over",)),
    "u": Letter("use it, use it up", ("used up", "use it")),
    "v": Letter("view it another way", ("drawn", "as it stood", "record", "viewer", "veneer, strips")),
    "w": Letter("why", ("why", "why here", "counts", "not taken")),
    "W": Letter("waits for", ("waits for",)),
    "x": Letter(
        "take out, off",
        ("take out", "last mark off", "take back", "as recorded", "spoilt", "start over", "close the page"),
    ),
    "X": Letter("give all of it up", ("give up", "leave without", "all as recorded")),
    "y": Letter("copy", ("copy",)),
    "z": Letter("undo", ("undo",)),
    "Z": Letter("redo", ("redo",)),
}
"""Every letter that does something anywhere."""

OTHERWISE_BECAUSE = {
    "b": "dirty hands: the bag",
    "c": "its place's first word",
    "f": "dirty hands: the flag",
    "h": "dirty hands: how",
    "i": "who signs, what is inside",
    "n": "something new",
    "p": "a photo where a step is",
    "P": "no object is open there",
    "s": "on the bench alone",
    "t": "time, and to where",
}
"""Why a letter means something else at single places."""


@cache
def otherwise() -> dict[str, dict[str, tuple[str, ...]]]:
    """Letter to label to the places where it means that, and not its one meaning."""
    found: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    for place, acts in places().items():
        for act in acts:
            for key in act.keys.split(","):
                means = MEANINGS.get(key)
                if len(key) == 1 and key.isalpha() and (means is None or act.label not in means.labels):
                    found[key][act.label].append(place.removesuffix("Screen"))
    return {letter: {label: tuple(where) for label, where in labels.items()} for letter, labels in found.items()}


def elsewhere(keys: str, label: str) -> str:
    """What a letter means elsewhere, where a place has another meaning for it; else empty.

    Args:
        keys: the keys of an action, with commas.
        label: what the action is called in the key line.
    """
    letters = (key for key in keys.split(",") if len(key) == 1 and key in MEANINGS)
    said = [f"{key} is elsewhere: {MEANINGS[key].meaning}" for key in letters if label in otherwise().get(key, {})]
    return f"  ({said[0]})" if said else ""


def page_of(topic: str) -> GuidePage:
    """A page of the guide; the one about letters with the table of them. Raises as `guide_page`."""
    page = guide_page(topic)
    if page.topic != PAGE:
        return page
    items = tuple(GuideBlock(BlockKind.ITEM, _line(letter)) for letter in MEANINGS)
    return GuidePage(page.topic, page.title, page.about, (*page.blocks, *items))


def _line(letter: str) -> str:
    """`p: plan; photo`: its meaning, then what it means at single places."""
    others = otherwise().get(letter, {})
    because = OTHERWISE_BECAUSE.get(letter, "")
    rest = f"; at its place: {', '.join(others)} ({because})" if others else ""
    return f"{letter}: {MEANINGS[letter].meaning}{rest}"
