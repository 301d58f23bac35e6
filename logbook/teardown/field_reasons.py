"""What a want is, and why each field is wanted: what goes wrong years later when it was not written down.

The reasons are cases that restorers know from their own bench (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple


class Want(NamedTuple):
    """Something that a record should hold, whether it does or not."""

    field: str
    weight: int
    done: bool
    sentence: str


WHY: Mapping[str, str] = {
    "connections": "Wires told apart by colour alone, or labelled at one end, are swapped: colours fade to tan.",
    "bag": "Fasteners in no numbered bag are left over at the end, or get into another unit.",
    "fasteners": "A screw of another length or thread strips its hole, or comes out through the show face.",
    "positions": "Screws of several kinds get into each other's holes, and an empty place is hunted for an hour.",
    "viewed_from": "Left and right change about when nobody knows from which side the map was drawn.",
    "stack": "Washers, bushes and tubes go back in the wrong order: a rubbing shaft, or no end play.",
    "hold": "What was to be proved first was passed by, and nobody knows whether it was safe.",
    "note": "A shim without side and thickness is found loose on the bench, and nobody knows where it was.",
    "one_way": "What cannot be undone is gone: without a size, a tracing or a pattern it is made by guess.",
    "certainty_note": "A guess that nobody knows to be one is followed as if it were a fact.",
    "hazards": "Somebody gets hurt: the step is done without what makes it safe.",
    "as_found": "A mistake of an earlier repair is restored faithfully when nobody knows what it was.",
    "should_be": "A mistake of an earlier repair is restored faithfully when nobody knows how it should be.",
    "action": "How it came off decides what putting it back means.",
    "settings": "A setting that is lost costs days of adjusting; a spring goes back with the wrong preload.",
    "measurements": "A single reading is a mistake waiting: the case is built to it.",
    "photo_taken": "A photo answers what nobody thought of writing down.",
    "held_dimensions": "The case comes out a few millimetres off, and the works do not go back in.",
    "components": "Parts that lie nowhere in particular are thrown away, and dangerous ones are forgotten.",
    "to_look_at": "Two copies say different things, and whoever goes on from the wrong one does the work twice.",
    "sets": "Drawers, legs and doors are fitted by hand; each goes back only to its own place.",
}
"""For every field that can be wanted, in a sentence."""

CALLED: Mapping[str, str] = {
    "connections": "ends of wires",
    "bag": "bags",
    "fasteners": "sizes",
    "positions": "which goes where",
    "viewed_from": "sides of maps",
    "stack": "orders of pieces",
    "hold": "hold points",
    "note": "words not understood",
    "one_way": "one-way joints",
    "certainty_note": "guesses",
    "hazards": "dangers",
    "as_found": "what was wrong",
    "should_be": "how it should be",
    "action": "how it came off",
    "settings": "settings",
    "measurements": "readings",
    "photo_taken": "photos",
    "held_dimensions": "held sizes",
    "components": "components",
    "to_look_at": "what joining left",
    "sets": "places in sets",
}
"""What is missing of a field, in the word for many of its kind; a field without one is not named."""

WEIGHTS = "Weights go from 1, nice to have, to 10, it may not go together again; from 8 on a stranger has to stop."
