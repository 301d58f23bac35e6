"""The words of the trade that a line is recognised by.

Every word here is plain English as it is said at the bench. What stands in a record is always the full
word of `logbook.model.words`.
"""

from __future__ import annotations

from logbook.model.words import Action, Certainty, JointFound, SignalWord, Then


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


ACTION_LETTERS: dict[str, Action] = {
    "u": Action.UNSCREWED,
    "p": Action.UNPLUGGED,
    "o": Action.UNSOLDERED,
    "c": Action.CUT,
    "y": Action.PRISED,
    "t": Action.SPLIT,
    "l": Action.LOOSENED,
    "s": Action.SLID,
    "i": Action.UNCLIPPED,
    "r": Action.RECORDED,
    "f": Action.LIFTED,
    "k": Action.UNHOOKED,
    "g": Action.SPRING_RELEASED,
    "d": Action.DRILLED,
    "n": Action.DRAINED,
    "b": Action.BLED,
    "m": Action.MARKED,
    "e": Action.CLEANED,
    "a": Action.MEASURED,
    "x": Action.DISCARDED,
    "w": Action.TRACED,
    "q": Action.PEELED,
    "v": Action.UNDONE,
    "h": Action.UNSAID,
}
"""The key that chooses each way of taking off. In a line one letter is no action: L and N are the names of wires."""

_FORMS = {
    Action.UNSCREWED: "unscrewed, unscrew, unbolted, unbolt",
    Action.UNPLUGGED: "unplugged, unplug",
    Action.UNSOLDERED: "unsoldered, unsolder, desoldered, desolder",
    Action.CUT: "cut, cut off, cut through, sawn off, sawn through",
    Action.PRISED: "prised, prise, prized, pried, pry, prised off, prised out, pried off, pried out, "
    "levered off, levered out, levered, popped off, popped out",
    Action.SPLIT: "split",
    Action.SLID: "slid, slide, slid off, slid out, slipped off, slipped out, "
    "pulled off, pulled out, pulled, pull off, pull out",
    Action.LOOSENED: "loosened only, loosened, loosen only, loosen",
    Action.RECORDED: "recorded only, recorded, record only, record",
    Action.LIFTED: "lifted out, lifted, lift out, lift, lifted off, lift off",
    Action.UNHOOKED: "unhooked, unhook",
    Action.DRILLED: "drilled out, drilled, drill out, drill",
    Action.SPRING_RELEASED: "spring released, springs released, spring let down, springs let down, let down",
    Action.DRAINED: "drained, drain",
    Action.BLED: "bled, bleed",
    Action.MARKED: "marked, mark",
    Action.CLEANED: "cleaned",
    Action.MEASURED: "measured, measure",
    Action.DISCARDED: "discarded, discard",
    Action.TRACED: "traced, trace",
    Action.UNCLIPPED: "unclipped, unclip, unsnapped",
    Action.PEELED: "peeled off, peeled, peel off, peeled away",
    Action.UNDONE: "undone, undo, untied, untie, unbuckled, unlaced",
    Action.UNSAID: "not said",
}
ACTION_FORMS: dict[str, Action] = {form: a for a, forms in _FORMS.items() for form in forms.split(", ")}
"""Every full form of an action word."""

_SHORT = {"uns": Action.UNSCREWED}
"""The one short form that fits two words: `uns` is unscrewed, by far the commoner; `unso` is unsoldered."""

_OWN_WORDS = frozenset({"loose", "disc", "spring", "springs", "saw", "pop", "lever"})
"""Beginnings of an action word that are words of their own, about what was found."""

VERBS_AT_START: dict[str, Action] = {
    "unscrew": Action.UNSCREWED,
    "unplug": Action.UNPLUGGED,
    "unsolder": Action.UNSOLDERED,
    "unhook": Action.UNHOOKED,
    "unclip": Action.UNCLIPPED,
    "undo": Action.UNDONE,
    "loosen": Action.LOOSENED,
    "prise": Action.PRISED,
    "pry": Action.PRISED,
    "bleed": Action.BLED,
}
"""Verbs that say how when what came off begins with them (“unplug aerial”): none of them is also a noun."""


def action_of(phrase: str) -> Action | None:
    """The action that a folded phrase names: a full form, or its first letters (three or more)."""
    full = ACTION_FORMS.get(phrase) or _SHORT.get(phrase)
    if full is not None or not 3 <= len(phrase) <= 20 or phrase in _OWN_WORDS:
        return full
    fitting = {action for form, action in ACTION_FORMS.items() if form.startswith(phrase)}
    return fitting.pop() if len(fitting) == 1 else None


def nearest_word(phrase: str) -> str:
    """The word for how it came off, or the flag, that a mistyped phrase (“unscrwed”, “phto”) is likely to mean.

    It is only offered, never taken: what was typed stays in the note. Empty when nothing is near.
    """
    from difflib import get_close_matches  # 2 ms, needed only when a phrase is not understood

    typed = phrase.strip().casefold()
    if typed in JOINT_WORDS and typed not in ACTION_FORMS:
        return f"one-way {typed}"  # only its owner knows whether it had to be broken
    if not 4 <= len(typed) <= 20:
        return ""
    words = (*(form for form in ACTION_FORMS if len(form) >= 4), "photo", "one-way", "hazard", "left-hand", "guess")
    return next(iter(get_close_matches(typed, words, n=1, cutoff=0.75)), "")


THEN_WORDS: dict[str, Then] = {
    "reuse": Then.REUSE,
    "reused": Then.REUSE,
    "re-use": Then.REUSE,
    "renew": Then.RENEW,
    "renewed": Then.RENEW,
    "scrap": Then.SCRAP,
    "scrapped": Then.SCRAP,
    "lost": Then.LOST,
}

SIGNAL_WORDS: dict[str, SignalWord] = {str(w).casefold(): w for w in SignalWord}

CERTAINTY_WORDS: dict[str, Certainty] = {
    "guess": Certainty.GUESS,
    "think so": Certainty.THINK_SO,
    "not sure": Certainty.THINK_SO,
    "unsure": Certainty.THINK_SO,
    "sure": Certainty.SURE,
}
"""How sure; what follows says of what."""

LEFT_HAND_WORDS = frozenset(
    {"left-hand", "left hand", "left-handed", "left handed", "left-hand thread", "left hand thread", "lh thread"}
)
RIGHT_HAND_WORDS = frozenset({"right-hand", "right-handed", "right-hand thread", "right hand thread"})
NO_FASTENERS = frozenset({"no fasteners", "no fastener", "without fasteners", "no screws"})
GONE_AT_REFIT = ("gone at the refit", "gone in the refit", "gone at refit", "gone by then")
"""Endings of a hazard that is gone by the time the thing goes back; the third is written."""
PLANNED_WORDS = frozenset({"planned", "still to do", "to do", "todo"})
_WORK_WORDS = ("still to do ", "to do ", "todo ")


def work_in_words(phrase: str) -> str:
    """What a phrase says is to be done at a thing: `clean contacts` of “to do clean contacts”; empty for any other."""
    words = " ".join(phrase.split())
    start = next((w for w in _WORK_WORDS if words.casefold().startswith(w)), "")
    return words[len(start) :] if start else ""


ANSWER_WORDS: dict[str, str] = {
    "measured": "measured",
    "traced": "traced",
    "photographed": "photographed",
    "pattern": "pattern_kept",
    "pattern kept": "pattern_kept",
    "held twice": "held_twice",
    "held dimensions twice": "held_twice",
}
"""Answers to the stop question, by field of the one-way record."""

JOINT_WORDS: dict[str, JointFound] = {
    "glued": JointFound.GLUED,
    "riveted": JointFound.RIVETED,
    "pinned": JointFound.PINNED,
    "stapled": JointFound.PINNED,
    "nailed": JointFound.PINNED,
    "desoldered": JointFound.DESOLDERED,
    "wire cut": JointFound.WIRE_CUT,
    "gasket": JointFound.GASKET,
    "felt": JointFound.GASKET,
    "cloth": JointFound.GASKET,
    "tape": JointFound.GASKET,
    "wax": JointFound.GASKET,
    "locked": JointFound.LOCKED,
    "locking compound": JointFound.LOCKED,
    "paint mark": JointFound.LOCKED,
    "crushed": JointFound.CRUSHED,
    "peeled": JointFound.CRUSHED,
}
"""How a joint that cannot be undone was found, in one or two words; the first word of each kind is written."""

DIRECTION_WORDS = _words(
    "the above below behind beneath underneath under front back rear left right top bottom inside outside side end"
)
"""Words that a view is named by; `from` and nothing but these is where it was seen from."""

MEASURE_WORDS = _words(
    "mm cm m in inch inches ft foot' kg g mg l ml v mv kv w kw a ma hz khz mhz ohm ohms kohm k ω kω uf nf pf µf μf "
    "turn turns degree degrees deg ° % percent times year years month months week weeks day days h hr hrs hour hours "
    "min mins minute minutes s sec seconds st nd rd th ba nm c °c"
)
"""Units and endings: a number before one of them counts no fasteners."""

THREADED = frozenset(
    {"screw", "bolt", "nut", "stud", "washer", "rivet", "setscrew", "grub", "pin", "circlip", "dowel", "cotter"}
)
"""Words of fasteners whose size decides where they fit."""

FASTENER_WORDS = THREADED | _words(
    "clip staple nail tack brad bush tube spacer shim plug ring grommet foot spring tie strip clamp wedge key "
    "gasket collar ferrule bracket p-clip block packer"
)
"""Singular words that a kind of fastener is recognised by where no number stands before it."""

PIECES = frozenset({"shim", "block", "wedge", "packer"})
"""Words for loose pieces that hold nothing together themselves; common practice, no source."""

COLOURS = _words(
    "black brown red orange yellow green blue violet purple grey gray white pink turquoise cream tan beige clear "
    "silver gold maroon bare dark light"
)
"""Words that a wire is told by: the colours of IEC 60757 and what old wires fade to (common practice)."""
TRACER_WORDS = _words("tracer stripe striped with and")
"""Words between colours: `brown with white tracer`."""

OF_WIRE = FASTENER_WORDS | _words("connector terminal hook cap lug end marker mesh wool gauze basket shelf hanger")
"""Words that make a thing of its own of the wire before them: a wire tie, a wire hook."""

STACKED = frozenset({"washer", "bush", "tube", "spacer", "shim", "ring", "collar", "gasket", "ferrule"})
"""Pieces that sit on another fastener, so that their order has to be written down."""
