"""A reference value for how tight a steel screw can be drawn, from its thread and strength class.

It is for reference only, never what a list asks for: T = K d F, with the preload F taken as three quarters of the proof
load of ISO 898-1 and the factor K stated. It holds for steel screws in steel, new and whole, and for nothing else.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from typing import NamedTuple

from logbook.model.step import FastenerDetail, Step
from logbook.model.thread_tables import Series, Thread, thread_of

PRELOAD = Fraction(3, 4)
"""Of the proof load, for a joint that is taken apart again (Shigley, 9th edition, section 8-8; from memory)."""
CAUTION = (
    "Only for a whole steel screw in steel. What the maker says and how tight it was found come first; far less in "
    "wood, plastic, brass, aluminium, thin sheet or an old thread."
)


class Finish(Enum):
    """The factor K by how the screw is finished (Shigley, 9th edition, table 8-15)."""

    PLAIN = ("plain", Fraction(30, 100))
    ZINC = ("zinc-plated", Fraction(20, 100))
    LUBRICATED = ("lubricated", Fraction(18, 100))
    CADMIUM = ("cadmium-plated", Fraction(16, 100))
    UNKNOWN = ("finish not known", Fraction(20, 100))
    """The same book takes 0.20 when nobody says (from memory)."""

    @property
    def words(self) -> str:
        """As it is said in a sentence."""
        return self.value[0]

    @property
    def factor(self) -> Fraction:
        """K."""
        return self.value[1]


class TorqueReference(NamedTuple):
    """A tightening torque worked out, with everything it rests on."""

    thread: Thread
    strength_class: str
    finish: Finish
    proof_load: int
    """Newtons."""
    preload: Fraction
    """Newtons."""
    torque: Fraction
    """Newton metres."""

    @property
    def sentence(self) -> str:
        """The value, marked as what it is, with the formula and its factors."""
        return (
            f"For reference only: {self.thread.name} of class {self.strength_class} about {rounded(self.torque)} N m "
            f"(T = K d F; K {float(self.finish.factor):.2f}, {self.finish.words}; F {round(self.preload)} N, "
            f"three quarters of the ISO 898-1 proof load of {self.proof_load} N). {CAUTION}"
        )


def torque(factor: Fraction, diameter: Fraction, force: Fraction) -> Fraction:
    """T = K d F, in the unit of length of `diameter` times the unit of force of `force`."""
    return factor * diameter * force


def torque_reference(kind: str, strength_class: str, finish: Finish = Finish.UNKNOWN) -> TorqueReference | None:
    """The reference torque of a kind of fastener, or None when the tables do not have it.

    Args:
        kind: the words for it, which name a thread: `hex bolt M8x30`. Only ISO coarse threads have a proof load here.
        strength_class: as marked on the head, `8.8`; only the classes of the table.
        finish: which factor K holds.
    """
    thread = thread_of(kind)
    load = None if thread is None else thread.proof_loads.get(strength_class.strip())
    if thread is None or load is None or thread.series is not Series.COARSE:
        return None
    preload = PRELOAD * load
    return TorqueReference(
        thread, strength_class.strip(), finish, load, preload, torque(finish.factor, thread.diameter / 1000, preload)
    )


def finish_of(detail: FastenerDetail) -> Finish:
    """The finish that the words for it name."""
    words = detail.finish.casefold()
    named = (
        (("oil", "greas", "lubric", "wax"), Finish.LUBRICATED),
        (("cadmium",), Finish.CADMIUM),
        (("zinc",), Finish.ZINC),
        (("plain", "black", "bright", "bare"), Finish.PLAIN),
    )
    return next((f for parts, f in named if any(part in words for part in parts)), Finish.UNKNOWN)


def torque_sentences(step: Step) -> Iterator[str]:
    """The reference values for the fasteners of a step whose strength class was written down, each once.

    None for hot-dip galvanised ones, whose M8 and M10 bear less than the table says.
    """
    said: dict[str, None] = {}
    for f in step.fasteners:
        detail = f.detail
        if detail is not None and detail.strength_class and "galvan" not in detail.finish.casefold():
            reference = torque_reference(f.kind, detail.strength_class, finish_of(detail))
            if reference is not None:
                said[reference.sentence] = None
    yield from said


def rounded(value: Fraction) -> str:
    """To two significant figures, which is more than T = K d F is good for: `25`, `1.4`."""
    number = Decimal(value.numerator) / value.denominator
    return format(Decimal(f"{number:.1e}"), "f")
