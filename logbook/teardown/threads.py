"""Which screw is this: the threads that a loose screw can have, by what was measured on it.

A sound screw never measures its nominal diameter: its outside lies between the limits of its tolerance class. So what
was measured is compared with those limits, and with the pitch. That tells most look-alikes apart (M5 from #10-32);
where it cannot, the answer says so instead of choosing.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

from logbook.errors import InputError
from logbook.model.measures import MM_PER_INCH, parse_length
from logbook.model.thread_tables import Series, Thread, in_mm, threads

DIAMETER_TOLERANCE = Fraction(5, 100)
"""mm beyond the limits of a sound screw, for a calliper over worn or burred threads. Common practice, no source."""
PITCH_TOLERANCE = Fraction(3, 100)
"""Of the pitch: half of what lies between two leaves of a thread gauge. Common practice, no source."""
NEAR_DIAMETER, NEAR_PITCH = Fraction(3, 10), Fraction(10, 100)
"""Up to here a thread that does not fit is still named."""

_PER_INCH = re.compile(r"(\d{1,3}(?:[.,]\d)?)\s?(?:tpi|per inch|threads per inch|/\s?in)?", re.ASCII | re.IGNORECASE)
_MOST_PITCH = 4
"""A number without a unit is a pitch in mm below this, and threads per inch from here on."""
_ORDER = tuple(Series)


class Screw(NamedTuple):
    """What was measured on a screw, in exact mm."""

    diameter: Fraction
    """Outside, over the threads."""
    pitch: Fraction | None = None
    """From one thread to the next; None when it was not measured."""
    wood: bool | None = None
    """Whether it is a wood screw; None when nobody said."""
    length: Fraction | None = None
    loose: int | None = None
    """How many of its kind lie loose; None when nobody said."""


class Candidate(NamedTuple):
    """A thread that it can be, and how far what was measured lies off."""

    thread: Thread
    fits: bool
    """Within both tolerances."""
    off: Fraction
    """mm over the largest (+) or under the smallest (-) that a sound one measures; 0 between the two."""
    pitch_off: Fraction | None
    """mm that the measured pitch is longer (+) or shorter (-); None when it was not measured."""

    @property
    def score(self) -> Fraction:
        """How badly it fits, in tolerances; 0 is best."""
        turn = Fraction(0) if self.pitch_off is None else abs(self.pitch_off) / (self.thread.pitch * PITCH_TOLERANCE)
        return abs(self.off) / DIAMETER_TOLERANCE + turn

    @property
    def difference(self) -> str:
        """How far off, in words: `inside 4.83 to 4.98 mm; pitch exact`, `0.08 mm under 4.83 mm; pitch 0.01 mm less`."""
        low, high = in_mm(self.thread.smallest), in_mm(self.thread.largest)
        words = f"inside {low} to {high} mm"
        if self.off:
            words = f"{_off(self.off)} mm over {high} mm" if self.off > 0 else f"{_off(self.off)} mm under {low} mm"
        if self.pitch_off is None:
            return f"{words}; pitch not measured"
        more = "more" if self.pitch_off > 0 else "less"
        return f"{words}; pitch {f'{_off(self.pitch_off)} mm {more}' if self.pitch_off else 'exact'}"


class Answer(NamedTuple):
    """The threads it can be, the likeliest first, and what that means in a sentence."""

    candidates: tuple[Candidate, ...]
    sentence: str


def measured(diameter: str, pitch: str = "", length: str = "", count: str = "", *, wood: bool | None = None) -> Screw:
    """What a person typed about a screw.

    Args:
        diameter: outside, over the threads: `4.8`, `0.19 in`, `3/16`.
        pitch: `0.8`, `0.8 mm`, `32 tpi`; a bare number from 4 on is threads per inch. Empty: not measured.
        length: as the diameter; empty: not measured.
        count: how many of them lie loose; empty: not said.
        wood: whether it is a wood screw.

    Raises:
        InputError: one of them is no size of a screw.
    """
    size = parse_length(_whole(diameter))
    if not Fraction(1, 2) <= size <= 40:
        raise InputError(f"“{diameter.strip()[:40]}” is no diameter of a screw; type it like 4.8 or 3/16.")
    turn = _pitch(_whole(pitch)) if pitch.strip() else None
    long = parse_length(_whole(length)) if length.strip() else None
    if long is not None and not 0 < long <= 2000:
        raise InputError(f"“{length.strip()[:40]}” is no length of a screw; type it like 16 or 5/8.")
    return Screw(size, turn, wood, long, _count(count) if count.strip() else None)


def _whole(text: str) -> str:
    """`.7` as `0.7`, as a calliper or a hasty hand has it."""
    words = text.strip()
    return f"0{words}" if words[:1] in (".", ",") else words


def _count(text: str) -> int:
    words = text.strip()
    if not (words.isascii() and words.isdigit() and 0 < int(words[:6]) < 10_000 and len(words) < 6):
        raise InputError(f"“{words[:40]}” is no number of screws; type it like 2, or leave it empty.")
    return int(words)


def wood_or_machine(text: str) -> bool | None:
    """Whether `wood` or `machine` was typed, or the beginning of it; None when nothing was.

    Raises:
        InputError: it is neither.
    """
    word = text.strip().casefold()
    if not word:
        return None
    for kind, wood in (("wood", True), ("machine", False)):
        if kind.startswith(word.removesuffix(" screw")):
            return wood
    raise InputError(f"“{text.strip()[:40]}” is no kind of screw here; type wood or machine, or leave it empty.")


def _pitch(text: str) -> Fraction:
    """The pitch in mm, typed as such or as threads per inch."""
    words = " ".join(text.split())
    match = _PER_INCH.fullmatch(words)
    bare = match is not None and words[-1].isdigit()
    number = Fraction(match[1].replace(",", ".")) if match else Fraction(0)
    if match is not None and (not bare or number >= _MOST_PITCH):
        turn = MM_PER_INCH / number if number else Fraction(0)
    else:
        try:
            turn = parse_length(words)
        except InputError as error:
            raise InputError(f"“{words[:40]}” is no pitch; type it like 0.8, or like 32 tpi.") from error
    if not Fraction(1, 10) <= turn <= 10:
        raise InputError(f"“{words[:40]}” is no pitch of a screw; type it like 0.8, or like 32 tpi.")
    return turn


def identify(screw: Screw, limit: int = 8) -> Answer:
    """The threads that a screw can have, those that fit first, the likeliest first, at most `limit` of them."""
    asked = (t for t in threads() if screw.wood is None or screw.wood == (t.series is Series.WOOD))
    near = [c for c in (_candidate(screw, t) for t in asked) if c is not None]
    near.sort(key=lambda c: (not c.fits, c.score, _ORDER.index(c.thread.series), _from_middle(screw, c.thread)))
    return Answer(tuple(near[:limit]), _sentence(screw, near))


def _candidate(screw: Screw, thread: Thread) -> Candidate | None:
    """The thread with its differences, or None when it is far off."""
    low, high = thread.smallest, thread.largest
    off = screw.diameter - min(max(screw.diameter, low), high)
    pitch_off = None if screw.pitch is None else screw.pitch - thread.pitch
    share = Fraction(0) if pitch_off is None else abs(pitch_off) / thread.pitch
    if abs(off) > NEAR_DIAMETER or share > NEAR_PITCH:
        return None
    return Candidate(thread, abs(off) <= DIAMETER_TOLERANCE and share <= PITCH_TOLERANCE, off, pitch_off)


def _from_middle(screw: Screw, thread: Thread) -> Fraction:
    return abs(screw.diameter - (thread.smallest + thread.largest) / 2)


NOT_IN_TABLES = (
    "The tables hold ISO metric M1.6 to M12, UNC and UNF #2 to 1/2 in, and wood screws by gauge; "
    "old threads such as Whitworth and BA are not in them."
)


def _sentence(screw: Screw, near: list[Candidate]) -> str:
    fitting = [c for c in near if c.fits]
    if not near:
        return f"No thread is near {in_mm(screw.diameter)} mm{_with_pitch(screw)}. {NOT_IN_TABLES}"
    if not fitting:
        first = near[0]
        return (
            f"Nothing fits; the nearest is {first.thread.words}: {first.difference}. "
            f"Measure again where it is least worn. {NOT_IN_TABLES}"
        )
    if len(fitting) == 1:
        return f"Likely {fitting[0].thread.words}."
    names = [_called(c.thread) for c in fitting]
    all_of_them = "both" if len(fitting) == 2 else "all"
    return f"{', '.join(names[:-1])} and {names[-1]} {all_of_them} fit what was measured. {_apart(screw, fitting)}"


def _called(thread: Thread) -> str:
    return f"wood screw {thread.name}" if thread.series is Series.WOOD else thread.name


def _with_pitch(screw: Screw) -> str:
    return "" if screw.pitch is None else f" with a pitch of {in_mm(screw.pitch)} mm"


def _apart(screw: Screw, fitting: list[Candidate]) -> str:
    """What would tell the threads that fit from each other."""
    if screw.pitch is None:
        both = len({c.thread.series is Series.WOOD for c in fitting}) == 2
        point = " A wood screw tapers to a point." if both else ""
        return f"The pitch may tell: count the threads along 10 mm, or along an inch.{point}"
    a, b = fitting[0].thread, fitting[1].thread
    if a.smallest > b.largest or b.smallest > a.largest:
        lesser, greater = sorted((a, b), key=lambda t: t.diameter)
        return (
            f"A sound {_called(lesser)} measures at most {in_mm(lesser.largest)} mm, {_called(greater)} at least "
            f"{in_mm(greater.smallest)} mm: measure where it is least worn, or try a nut of known thread by hand."
        )
    return "These measures cannot tell them apart: try a nut of known thread by hand, the whole way, never with force."


def _off(value: Fraction) -> str:
    """A difference without its sign: to 0.01 mm, or finer where that would be nothing."""
    size = abs(value)
    return in_mm(size) if size >= Fraction(1, 100) else f"{float(size):.3f}"
