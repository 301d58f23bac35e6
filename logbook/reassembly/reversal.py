"""What each action of a teardown means on the way back, and each joint that cannot be undone as it was made.

The two tables are the whole of the rule; everything else about a line comes from the record. They are
common practice without a single source.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from logbook.model.words import Action, JointFound


@dataclass(frozen=True, slots=True)
class Reversal:
    """What an action means on the way back."""

    does: str
    """What to do, as a sentence."""
    title: str
    """What the line is called, with what came off in the place of the braces."""
    record_only: bool = False
    """Nothing came off, so there is something to do only when there is something to compare or to set."""
    nothing: str = ""
    """Why a step with nothing to compare or to set is left out; empty when there always is something."""


REVERSALS: Mapping[Action, Reversal] = {
    Action.UNSCREWED: Reversal("Start by hand, then tighten as tight as it was found.", "refit {}"),
    Action.UNPLUGGED: Reversal("Plug in until it seats, then tug it.", "{} plugged in"),
    Action.UNSOLDERED: Reversal(
        "Tin both sides, sleeve on first, solder; pull it, then check continuity.", "{} soldered"
    ),
    Action.CUT: Reversal("Join it again; mind the length that was lost by the cut.", "{} joined"),
    Action.PRISED: Reversal("Press it on and check that every clip holds.", "press the {} on"),
    Action.SPLIT: Reversal("Clean both faces, fit dry, then join.", "{} joined"),
    Action.SLID: Reversal("Slide it on to its stop and check that it holds.", "slide the {} on"),
    Action.LOOSENED: Reversal("Nip it, align it, and leave the final tightening for later.", "{} nipped and aligned"),
    Action.RECORDED: Reversal(
        "Compare with the record.",
        "{} as recorded",
        record_only=True,
        nothing="it was recorded only, so nothing goes back",
    ),
    Action.LIFTED: Reversal("Put it in its place the way up it was found.", "refit {}"),
    Action.UNHOOKED: Reversal("Hook it on at the same end and hole.", "hook the {} on"),
    Action.DRILLED: Reversal(
        "Fit a new fixing of the drilled size and mind the clearance.", "refit {}, with new fixings"
    ),
    Action.SPRING_RELEASED: Reversal("Set the spring up again as it was found; keep clear of its path.", "{} set up"),
    Action.DRAINED: Reversal("Fill again, then look for leaks.", "{} filled"),
    Action.BLED: Reversal(
        "This has no reverse: before power a competent person tests that it is safe (insulation, polarity or "
        "earth continuity). Local codes and licensed practice come first.",
        "safety test before power: {}",
    ),
    Action.MARKED: Reversal(
        "Bring the marks together.",
        "{} marks matched",
        record_only=True,
        nothing="it was marked, but no marks were written down to match",
    ),
    Action.CLEANED: Reversal(
        "Compare with the record.", "{} clean", record_only=True, nothing="it was cleaned, which is not undone"
    ),
    Action.MEASURED: Reversal(
        "Measure again and compare with the record.",
        "{} measured and compared",
        record_only=True,
        nothing="it was measured, but no reading was written down to compare with",
    ),
    Action.DISCARDED: Reversal("Fit a new one.", "fit new {}"),
    Action.TRACED: Reversal(
        "Use the tracing as the pattern and compare with it.",
        "{} compared with the pattern",
        record_only=True,
    ),
    Action.UNCLIPPED: Reversal("Clip it on and check that every clip holds.", "clip the {} on"),
    Action.PEELED: Reversal("Clean both faces and stick it down again where it lay.", "stick the {} down again"),
    Action.UNDONE: Reversal("Do it up again as it was found.", "do the {} up again"),
    Action.UNSAID: Reversal(
        "Put it back as the bag and the photos suggest; how it came off was not written.", "refit {}"
    ),
}
"""For every action what it means on the way back."""

JOINTS: Mapping[JointFound, str] = {
    JointFound.GLUED: "Clean both faces, fit dry, glue, clamp, and let it cure before it is loaded.",
    JointFound.RIVETED: "Fit new rivets, or a screw and nut in their place; mind the clearance.",
    JointFound.PINNED: "Fix it with new fixings, or with screws in place of the old ones.",
    JointFound.DESOLDERED: "Tin both sides, sleeve on first, solder; pull it, then check continuity.",
    JointFound.WIRE_CUT: "Splice the wire, sleeve on first; mind the length that was lost by the cut.",
    JointFound.GASKET: "Fit a new one; the old one is not used again.",
    JointFound.LOCKED: "Clean the thread, use the same grade of locking compound, and make a new mark.",
    JointFound.CRUSHED: "Build or fit it anew from the tracing; the old one is not used again.",
}
"""For every joint that cannot be undone as it was made, what takes its place."""

_DONE = re.compile(
    r"[ ,]+(?:(?:was|were)[ ]+)?"
    r"(?:unscrewed|unplugged|unsoldered|desoldered|unhooked|slid|split|prised|lifted|pulled|drilled|drained|released|"
    r"unclipped|unbolted|peeled|levered|popped|undone|untied)"
    r"(?:[ ]+(?:off|out|up|free|apart))?$",
    re.IGNORECASE,
)
"""How it came off, said at the end of its name: “panels split”. It says nothing of the way back."""
_GONE = re.compile(r"[ ,]+(?:comes?|taken|removed|off|out|away|loose|apart|loosened|undone)\b.*", re.IGNORECASE)
_CLAUSE = re.compile(r"[;.]\s")
_VERBS = {
    "unscrew": "screw in", "unplug": "plug in", "unsolder": "solder", "desolder": "solder", "unhook": "hook on",
    "unclip": "clip on", "peel": "stick down", "untie": "tie", "unbolt": "bolt on",
    "pull": "push on", "draw": "put in", "withdraw": "put in", "slip": "slip on", "slide": "slide on",
    "lift": "put in", "remove": "refit", "prise": "press on", "undo": "do up", "disconnect": "connect",
    "loosen": "nip and align", "drain": "fill", "release": "set up", "open": "close", "take": "refit",
}  # fmt: skip


def title_of(what: str, action: Action, *, sets_again: bool = False, made_anew: bool = False) -> str:
    """What goes back, in a few words: “Speaker off the baffle” becomes “refit speaker”.

    A title says what a fitter does or what stands there then: “slide the motor on”, “refit speaker”.
    A name without a verb gets the word of the action after it; a leading verb is turned round. What was
    only recorded is “set” when there is a setting to restore; what gets another joint than it had is refitted.
    """
    clause = _CLAUSE.split(what.strip(), maxsplit=1)[0].strip() or what
    clause = _DONE.sub("", clause).strip() or clause
    first, _, rest = clause.partition(" ")
    reversal = REVERSALS[action]
    if rest and not (reversal.record_only or made_anew) and first.lower() in _VERBS:
        return f"{_VERBS[first.lower()]} {_GONE.sub('', f' {rest}').strip() or rest}"
    title = "refit {}" if made_anew else "{} set" if sets_again and reversal.record_only else reversal.title
    name = _GONE.sub("", clause).strip() or clause
    if title.startswith(_IMPERATIVE):
        return title.format(_lower_start(name))
    return title.format(name)


_IMPERATIVE = ("press the", "slide the", "hook the", "clip the", "stick the", "do the", "refit", "fit new")


def _lower_start(name: str) -> str:
    """The name in the middle of a phrase: a capital that only begins it is small, codes and names stay."""
    name = re.sub(r"^the\s+", "", name, flags=re.IGNORECASE)
    first, _, _ = name.partition(" ")
    plain = first[1:].islower() and first[:1].isupper() and len(first) > 1
    return name[0].lower() + name[1:] if plain else name
