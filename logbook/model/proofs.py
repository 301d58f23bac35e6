"""What proved a danger gone, and whether that still holds.

The latest reading counts: one that is not dead takes back every proof before it. A proof holds for the sitting in
which it was taken: who takes the work up again on another day proves it again (common practice, no source), because
plugs are put in again, and a charge can come back.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from datetime import datetime
from decimal import Decimal
from typing import NamedTuple

from logbook.errors import InputError
from logbook.model.dangers import danger_key, is_electrical, is_provable, same_danger
from logbook.model.dates_in_words import day_from_today, day_year_time
from logbook.model.member_answers import answers_of_members
from logbook.model.shop_clock import on_clock_of
from logbook.model.step import Hazard, Measurement, Proof, Step
from logbook.model.unit import Unit

DEAD_BELOW = Decimal(10)
"""Volts below which a reading proves something dead (common practice, no source; the local code comes first)."""

NOT_PROVED = "not proved safe"

_FIGURE = r"[0-9]+(?:[ .,'’][0-9]{3}(?![0-9]))*(?:[.,][0-9]+)?"
_VOLTS = re.compile(rf"({_FIGURE}) ?(m|k|µ|u)?(?:v(?:olts?)?|vac|vdc)(?![a-z])", re.IGNORECASE)
_BARE = re.compile(rf"[<≤]? ?{_FIGURE}")
_TIMES = {"": Decimal(1), "m": Decimal("0.001"), "k": Decimal(1000), "µ": Decimal("0.000001"), "u": Decimal("0.000001")}


def reading_of(danger: str, typed: str) -> str:
    """A reading as it is kept: of an electrical danger in volts, which a bare number is.

    One that is not dead is kept as well, because it takes back what was proved before.

    Raises:
        InputError: nothing was read, or no voltage where only one speaks.
    """
    reading = " ".join(typed.split())
    electrical = is_electrical(danger)
    if electrical and _BARE.fullmatch(reading):
        reading += " V"
    if not reading:
        raise InputError(f"{reading_question(danger)} Type it like {reading_like(danger)}; Esc leaves it not proved.")
    if not _speaks(danger, reading):
        raise InputError(f"“{reading}” is no voltage: {danger} is proved dead by one, like 0.2 V.")
    return reading


def reading_question(danger: str) -> str:
    """What is asked to prove a danger gone: a voltage is measured, anything else is checked."""
    return "What was measured?" if is_electrical(danger) else "What was checked?"


def reading_like(danger: str) -> str:
    """An answer to that question, as somebody would type it."""
    return "0.2 V" if is_electrical(danger) else "turns freely"


def initials_of(danger: str, typed: str) -> str:
    """Initials of whoever proved a danger gone; of an electrical one somebody must stand for the reading.

    Raises:
        InputError: nobody is named.
    """
    initials = " ".join(typed.split())
    if not initials and is_electrical(danger):
        raise InputError("Whose reading is it? Type the initials of whoever measured, like AB.")
    return initials


def _speaks(danger: str, reading: str) -> bool:
    """Whether a reading says anything about a danger: about an electrical one only a voltage does."""
    return not is_electrical(danger) or bool(_volts(reading))


def is_live(danger: str, reading: str) -> bool:
    """Whether a reading shows an electrical danger that is not dead."""
    return is_electrical(danger) and any(v >= DEAD_BELOW for v in _volts(reading))


def reads_live_now(before: Proof, after: Proof) -> bool:
    """Whether a proof put right is a live reading in place of a dead one: then it was read now and not before."""
    return is_live(after.danger, after.reading) and not is_live(before.danger, before.reading)


def taken_words(proof: Proof) -> str:
    """What a reading says: `mains proved safe: 0.2 V, meter`, or `mains NOT dead: 230 V`."""
    says = "NOT dead" if is_live(proof.danger, proof.reading) else "proved safe"
    taken = ", ".join(filter(None, (proof.reading, proof.instrument)))
    return f"{proof.danger}{_at(proof.member)} {says}: {taken}"


def _at(member: str) -> str:
    """` at L` for what was read at one of a set; nothing for what was read for all of it."""
    return f" at {member}" if member else ""


def live_warning(proofs: Iterable[Proof]) -> str:
    """What is said at once about the first live reading of these; empty when none is."""
    for proof in proofs:
        if is_live(proof.danger, proof.reading):
            return f"{proof.reading} is not dead: {proof.danger} is NOT safe. Make it safe, then measure again."
    return ""


def _volts(reading: str) -> list[Decimal]:
    return [_figure(found[1]) * _TIMES[(found[2] or "").lower()] for found in _VOLTS.finditer(reading)]


def _figure(words: str) -> Decimal:
    """A figure as typed. Three digits behind a mark can be thousands or decimals: the larger reading is the safe one.

    Behind a nought they are decimals: `1,500` is fifteen hundred, `0.200` a fifth.
    """
    whole, *groups = re.split(r"[^0-9]", words)
    if not groups:
        return Decimal(whole)
    if int(whole) and all(len(group) == 3 for group in groups):
        return Decimal(whole + "".join(groups))
    *thousands, decimals = groups
    return Decimal(f"{whole}{''.join(thousands)}.{decimals}")


class Proved(NamedTuple):
    """The latest readings about a danger, and where they stand in the record."""

    danger: str
    reading: str
    instrument: str
    by: str
    at: datetime | None
    step: str
    """Code of the step at which, or before which, they were taken; empty at none."""
    path: tuple[str | int, ...] = ()
    """Where the proof stands in the record; empty for measurements of a step that names the danger."""
    member: str = ""
    """Of which one of a set it speaks; empty: of all of it."""
    unread: tuple[str, ...] = ()
    """Members of the set at which nothing was read, while others were."""

    def holds(self, now: datetime) -> bool:
        """Whether it is dead at all of them and was taken in this sitting: on the day of `now`, in its time zone."""
        if self.live or self.unread or self.at is None:
            return False
        return on_clock_of(self.at, now).date() == now.date()

    @property
    def live(self) -> bool:
        """Whether it takes the proof back."""
        return is_live(self.danger, self.reading)

    @property
    def taken(self) -> str:
        """Reading, instrument, initials and where, as far as they were said; of one of a set, which it was.

        One that was taken between the steps belongs to none, and names none: where one stood says nothing of it.
        """
        read = f"{self.member} {self.reading}" if self.member else self.reading
        where = f"at {self.step}" if self.step and self.path[:1] != ("proofs",) else ""
        return ", ".join(filter(None, (read, self.instrument, self.by, where)))

    @property
    def lacking(self) -> str:
        """`L not measured, only R 0.3 V, meter, AB`; empty where all of a set were, or it has none."""
        did = "measured" if is_electrical(self.danger) else "checked"
        return f"{' and '.join(self.unread)} not {did}, only {self.taken}" if self.unread else ""

    def words(self, now: datetime) -> str:
        """What proved it and when; of another day, that it is to be proved again; or that it is not dead."""
        taken = self.taken
        if self.live:
            return f"{self.reading} read{_at(self.member)}{self._live_when(now)}: not dead"
        if self.unread:
            return f"{NOT_PROVED}: {self.lacking}"
        if self.at is None:
            return f"proved, nobody knows when ({taken}): prove again before you go on"
        at = on_clock_of(self.at, now)
        if self.holds(now):
            return f"proved safe at {at:%H:%M}: {taken}"
        return f"proved on {day_from_today(at.date(), now.date())}, prove again before you go on ({taken})"

    def _live_when(self, now: datetime) -> str:
        """` at 09:20`, of another day ` on 12 Mar`; empty when nobody knows."""
        if self.at is None:
            return ""
        at = on_clock_of(self.at, now)
        if at.date() == now.date():
            return f" at {at:%H:%M}"
        return f" on {day_from_today(at.date(), now.date())}"


def proof_of(unit: Unit, danger: str) -> Proved | None:
    """The latest reading about a danger, dead or live, or None. Of two of one time the one that stands later counts.

    A reading at one of a set says nothing of the others: the danger is proved gone when each of them was read, and
    live while the latest reading at any of them is.
    """
    found = [p for p in _proofs(unit, danger) if _speaks(danger, p.reading)]
    latest = _latest(found)
    if latest is None or not latest.member:
        return latest
    members = next((s.members for s in unit.sets if latest.member in {m.code for m in s.members}), ())
    at_each = {m.code: _latest(p for p in found if p.member in ("", m.code)) for m in members}
    read = [at for at in at_each.values() if at is not None]
    live = _latest(at for at in read if at.live)
    if live is not None or not read:
        return live or latest
    unread = tuple(code for code, at in at_each.items() if at is None)
    moments = [at.at for at in read]
    oldest = None if None in moments else min(filter(None, moments))
    reading = ", ".join(f"{at.member} {at.reading}" if at.member else at.reading for at in dict.fromkeys(read))
    return latest._replace(member="", reading=reading, at=oldest, unread=unread)


def _latest(found: Iterable[Proved]) -> Proved | None:
    return max(reversed([*found]), key=lambda p: p.at.timestamp() if p.at else 0.0, default=None)


def proof_words(unit: Unit, hazard: Hazard, now: datetime) -> str:
    """How a danger stands: “not proved safe”, what proved it at which time, that it is to be proved again or live.

    Empty for one that is only to be minded.
    """
    proved = proof_of(unit, hazard.what)
    if proved is None:
        return NOT_PROVED if is_provable(hazard) else ""
    return proved.words(now)


def not_safe(unit: Unit, hazards: Iterable[Hazard], now: datetime) -> tuple[Hazard, ...]:
    """Those of these dangers that can be proved safe and are not in this sitting: never, on another day, or live."""

    def is_safe(hazard: Hazard) -> bool:
        proved = proof_of(unit, hazard.what)
        return proved.holds(now) if proved is not None else not is_provable(hazard)

    return tuple(hazard for hazard in hazards if not is_safe(hazard))


class DangerStanding:
    """How the dangers of a unit stand at one moment, each looked up once: for lists in which they stand often."""

    def __init__(self, unit: Unit, now: datetime) -> None:
        self._unit = unit
        self._now = now
        self._said: dict[tuple[str, bool], str] = {}

    def __call__(self, hazard: Hazard) -> str:
        """As `proof_words`."""
        key = (danger_key(hazard.what), is_provable(hazard))
        if key not in self._said:
            self._said[key] = proof_words(self._unit, hazard, self._now)
        return self._said[key]


def proof_on_paper(unit: Unit, hazard: Hazard, now: datetime) -> str:
    """How a danger stands, for paper that is read on another day: always with the day. Empty as `proof_words`."""
    proved = proof_of(unit, hazard.what)
    if proved is None:
        return NOT_PROVED if is_provable(hazard) else ""
    when = day_year_time(on_clock_of(proved.at, now)) if proved.at is not None else "nobody knows when"
    if proved.live:
        return f"{proved.reading} read{_at(proved.member)} {when}: not dead"
    if proved.unread:
        return f"{NOT_PROVED}: {proved.lacking}"
    return f"proved {when}: {proved.taken}; on another day prove it again"


def _proofs(unit: Unit, danger: str) -> Iterator[Proved]:
    """Every reading that was taken about a danger, in the order of the record."""
    for step in unit.steps:
        if step.planned:
            continue
        if measured := _measured(step, danger):
            yield measured
        for i, proof in enumerate(step.proofs):
            if same_danger(proof.danger, danger):
                at, by = proof.at or step.at, proof.by or step.by
                path = ("steps", step.code, "proofs", i)
                where = proof.step or step.code
                yield Proved(danger, proof.reading, proof.instrument, by, at, where, path, proof.member)
    for i, proof in enumerate(unit.proofs):
        if same_danger(proof.danger, danger):
            taken = proof.reading, proof.instrument, proof.by, proof.at, proof.step
            yield Proved(danger, *taken, ("proofs", i), proof.member)


def _measured(step: Step, danger: str) -> Proved | None:
    """What a step that names the danger has measured; of an electrical danger only voltages speak."""
    if not any(same_danger(h.what, danger) for h in step.hazards):
        return None
    read = [m for m in step.measurements if _shown(m) and (_volts(m.text) or not is_electrical(danger))]
    if not read:
        return None
    moments = [m.at for m in read if m.at is not None]
    by = next((m.by for m in reversed(read) if m.by), step.by)
    return Proved(danger, ", ".join(map(_shown, read)), "", by, max(moments, default=step.at), step.code)


def _shown(measurement: Measurement) -> str:
    return measurement.text or (f"{measurement.value.in_mm()} mm" if measurement.value is not None else "")


def with_proof(unit: Unit, *proofs: Proof) -> Unit:
    """The unit with more readings about dangers, in place of none that was taken before: the story stays."""
    return unit.model_copy(update={"proofs": (*unit.proofs, *proofs)})


def readings_of(unit: Unit, danger: str, typed: str) -> tuple[tuple[str, str], ...]:
    """What was typed as a reading, with the member of a set that it was taken at: `right 0.3 V`, `0.2 V`.

    Args:
        unit: its sets say which names are members.
        danger: what is to be proved gone.
        typed: one reading, or one for each of several members: `left 0.2, right 0.3`.

    Raises:
        InputError: as `reading_of`.
    """
    for of in unit.sets:
        answers = answers_of_members(typed, of, ())
        if answers:
            return tuple((answer.member, reading_of(danger, answer.reading)) for answer in answers)
    return (("", reading_of(danger, typed)),)


def last_instrument(unit: Unit, danger: str) -> str:
    """With what such a danger was measured last, to be offered again; a meter for the first electrical one."""
    electrical = is_electrical(danger)
    taken = [*(p for s in unit.steps for p in s.proofs), *unit.proofs]
    alike = (p.instrument for p in reversed(taken) if is_electrical(p.danger) is electrical and p.instrument)
    return next(alike, "meter" if electrical else "")
