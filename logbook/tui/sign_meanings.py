"""What the signs of each place mean: the legend that stands below its keys in the help."""

from __future__ import annotations

from logbook.render.glyphs import FINE, Glyphs

UNKNOWN = ("?", "not known: nobody has written it down yet")
LIKELY = ("~", "likely: worked out or guessed, not measured")
MORE = ("+?", "and more: something in the sum has no price or no time yet")
TO_DO = ("[ ]", "to do")
DONE = ("[x]", "done")


def signs_at(place: str, g: Glyphs) -> tuple[tuple[str, str], ...]:
    """(sign, what it means) for every sign that can stand at a place; nothing where there are only words.

    Args:
        place: name of the class of its screen.
        g: the glyphs that are drawn with.
    """
    return {**_IN_LISTS, **_drawn(g)}.get(place, ())


def places_with_signs() -> frozenset[str]:
    """The names of all places that have a legend."""
    return frozenset(_IN_LISTS) | frozenset(_drawn(FINE))


_IN_LISTS: dict[str, tuple[tuple[str, str], ...]] = {
    "BenchScreen": (
        ("3 d, 14 mo", "so long nothing of the unit was changed"),
        ("85 of 100", "cash that is expected to come, of what is left to the stop line"),
        UNKNOWN,
        MORE,
    ),
    "ArrivalScreen": (UNKNOWN,),
    "TeardownScreen": (
        ("6/5", "six holes, five screws found"),
        ("~", "a guess, or a member that is like the others only as far as is known"),
        UNKNOWN,
    ),
    "BenchModeScreen": (
        ("·", "nothing was said of it"),
        ("6/5", "six holes, five screws found"),
        ("->", "what becomes of it: renew or scrap"),
        ("~", "a guess"),
        UNKNOWN,
    ),
    "ComponentsScreen": (UNKNOWN, ("~", "the likely price, of three")),
    "CostsScreen": (UNKNOWN, LIKELY, MORE),
    "BillScreen": (TO_DO, ("[x]", "here"), UNKNOWN),
    "TakenScreen": (UNKNOWN, LIKELY),
    "ToBuyScreen": (
        ("[o]", "ordered, on its way"),
        UNKNOWN,
        ("~", "the likely price, of three"),
        ("!", "an old price: ask again"),
    ),
    "ReassemblyScreen": (
        TO_DO,
        DONE,
        ("(H)", "a hold point: something is read here before work goes on"),
        ("DIFFERS", "it went back otherwise than planned; Enter says how"),
        ("LOOK AGAIN", "its step was changed after it was ticked"),
        ("in reach", "can be done with what is here, once the lines before it are done"),
    ),
    "ReassemblyLineScreen": (TO_DO, DONE, ("(H)", "a hold point: something is read here before work goes on")),
    "CaseScreen": (
        UNKNOWN,
        ("just", "it just holds, with nothing to spare"),
        ("WRONG", "it does not hold or go together; the sentence says what to do"),
    ),
    "WorkScreen": (
        TO_DO,
        ("[>]", "being worked on"),
        ("[/]", "begun"),
        DONE,
        ("~", "it follows from the record and is not written down yet"),
        ("?", "before a line: is that what you wrote already? In a column: not known"),
    ),
    "PileScreen": (UNKNOWN, ("OLD", "unused for longer than the settings say: look at it again")),
    "ShopScreen": (UNKNOWN,),
    "FormScreen": (("·", "empty: nothing was said of it"),),
    "NewScreen": (("·", "empty: it may stay so"),),
    "NowScreen": (UNKNOWN,),
}


def _drawn(g: Glyphs) -> dict[str, tuple[tuple[str, str], ...]]:
    """Of places with a drawing, whose signs follow the terminal."""
    return {
        "LayoutScreen": (
            (g.waste, "too small for the pile: the bin"),
            (g.hatch, "goes back on the pile"),
            (g.grain_along, "the grain runs along the length"),
            TO_DO,
            DONE,
        ),
        "WeekScreen": (
            ("~", "the time is a guess"),
            ("+1 wait", "one more thing cures or dries than there is room to draw"),
            (g.window, "a window: the next coat must come before it closes"),
            (g.onward, "goes on after the edge"),
            (g.since, "began before it; at a day: today"),
        ),
    }
