"""What is said about a loose screw: what it can be, which holes it wants, and where it may belong."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from logbook.model.thread_tables import Thread
from logbook.render.page import Page
from logbook.render.plain import clean, fitted, wrapped
from logbook.render.values import plain_values
from logbook.teardown.same_screw import LENGTH_TOLERANCE, ScrewPlace
from logbook.teardown.threads import DIAMETER_TOLERANCE, NOT_IN_TABLES, PITCH_TOLERANCE, Answer, Candidate, Screw

EMPTY = (
    "Measure the screw over its threads and type the diameter; the pitch, or the threads per inch, tells look-alikes "
    "apart. Tab goes on to the next field, the answer comes while you type."
)
MOST_LINES = 3
MOST_PLACES = 2
"""Places named under a thread in the list; its own page names all."""


def candidate_lines(candidate: Candidate, places: Sequence[ScrewPlace], columns: int) -> tuple[str, ...]:
    """A thread in a few lines: how it fits, its holes, where its kind belongs."""
    sign = "fits" if candidate.fits else "near"
    lines = [fitted(f"{sign}  {candidate.thread.words}", columns).rstrip()]
    lines.append(fitted(f"      {candidate.difference}", columns).rstrip())
    if not candidate.fits:
        return tuple(lines)
    lines += wrapped(holes(candidate.thread), columns, "      ")
    where = [place_words(p) for p in places[:MOST_PLACES]]
    more = len(places) - len(where)
    said = "; ".join(where) + (f"; and {more} more (Enter)" if more else "")
    words = f"belongs to: {said}" if where else "no such kind in this unit or on the shelf"
    lines += wrapped(clean(words, limit=400), columns, "      ")[:MOST_LINES]
    return tuple(lines)


def holes(thread: Thread) -> str:
    """Tap drill and clearance holes, or why there are none."""
    if thread.tap_drill is None:
        return "no tap drill: a wood screw cuts its own thread in a pilot hole"
    clearance = ", ".join(f"{drill.words} {fit}" for fit, drill in thread.clearance)
    return f"tap drill {thread.tap_drill.words}; clearance hole {clearance}"


def place_words(place: ScrewPlace) -> str:
    """`T11 chassis bolts, bag 4: 4 hex bolt M5x35, 1 missing`."""
    bag = f", bag {place.bag}" if place.bag else ""
    missing = f", {place.missing} MISSING there" if place.missing else ""
    length = {True: ", the length fits", False: ", another length", None: ""}[place.length_fits]
    nut = ", has that thread" if place.nut and place.step else ""
    count = ", the number fits" if place.count_fits else ""
    return clean(f"{place.where}{bag}: {place.number} {place.kind}{missing}{length}{count}{nut}", limit=200)


def thread_page(candidate: Candidate, places: Sequence[ScrewPlace]) -> tuple[str, ...]:
    """Everything about one thread, in paragraphs."""
    found = [place_words(p) for p in places] or ["No such kind in this unit, and none on the shelf."]
    return (
        f"Measured: {candidate.difference}.",
        f"Holes: {holes(candidate.thread)}.",
        "# In this unit and on the shelf, the likeliest place first",
        *found,
        "# What this rests on",
        *how_sure(),
    )


def how_sure() -> tuple[str, ...]:
    """The tolerances and the tables, in paragraphs."""
    return (
        f"It fits when the diameter is at most {float(DIAMETER_TOLERANCE):.2f} mm outside what a sound screw measures, "
        f"and the pitch at most {float(PITCH_TOLERANCE * 100):.0f} % off; a length agrees to within "
        f"{float(LENGTH_TOLERANCE):.1f} mm.",
        "A sound screw measures less than its name: ISO metric to tolerance class 6g, UNC and UNF to class 2A, wood "
        "screws as ASME B18.6.1 has them. Plated, painted and worn ones differ.",
        f"{NOT_IN_TABLES} The source of every value stands at the top of the tables.",
        "Before it is driven home, turn it in by hand all the way. What goes stiff is the wrong thread.",
    )


Found = Sequence[tuple[Candidate, Sequence[tuple[str, ScrewPlace]]]]
"""Each thread with the places of its kind, each with the code of its unit, empty on the shelf."""


def screw_text(answer: Answer, found: Found, *, columns: int = 80) -> str:
    """What a loose screw can be and where it may belong, as text.

    Args:
        answer: what it can be.
        found: the places for each of its threads that fits.
        columns: width of the text.
    """
    page = Page(columns)
    page.say(answer.sentence)
    for candidate, places in found:
        page.head(candidate.thread.words)
        page.say(f"Measured: {candidate.difference}.")
        page.say(f"Holes: {holes(candidate.thread)}.")
        for unit, place in places:
            page.item("- ", f"{unit} {place_words(place)}".strip())
        if not places:
            page.say("No such kind in the units asked, and none on the shelf.")
    near = [c for c in answer.candidates if not c.fits]
    if near:
        page.head("Near, but outside the tolerance")
    for candidate in near:
        page.item("- ", f"{candidate.thread.words}: {candidate.difference}")
    page.head("What this rests on")
    for sentence in how_sure():
        page.say(sentence)
    return page.text()


def screw_data(screw: Screw, answer: Answer, found: Found) -> dict[str, Any]:
    """The same as values for JSON; sizes are exact millimetres written as fractions."""
    places = {c.thread.words: [{"unit": u, **plain_values(p._asdict())} for u, p in of] for c, of in found}
    return {
        "measured": {name: None if v is None else str(v) for name, v in screw._asdict().items()},
        "sentence": answer.sentence,
        "threads": [
            {
                "name": c.thread.name,
                "series": str(c.thread.series),
                "fits": c.fits,
                "difference": c.difference,
                "holes": holes(c.thread),
                "places": places.get(c.thread.words, []),
            }
            for c in answer.candidates
        ],
        "rests_on": list(how_sure()),
    }
