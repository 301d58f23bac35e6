"""One line of the reassembly list from its place and its step."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

from logbook.model.dangers import each_danger
from logbook.model.edges import Edge
from logbook.model.new_fasteners import new_of
from logbook.model.step import Hazard, HoldAt, Step
from logbook.model.words import RelationKind, Then
from logbook.reassembly.counting import going_back
from logbook.reassembly.ends import audit_line, check_line
from logbook.reassembly.face import face_order
from logbook.reassembly.index import RefitIndex
from logbook.reassembly.on_first import whole_of
from logbook.reassembly.refit_records import LineConnection, LineKind, RefitLine, Sentence, SentenceGroup, with_holds
from logbook.reassembly.reversal import title_of
from logbook.reassembly.sequence import AUDIT, CHECK, Arrangement, Slot, waits_for_cure
from logbook.reassembly.tightening import is_drawn_down, on_one_face, pattern
from logbook.reassembly.torque import torque_sentences
from logbook.reassembly.wording import (
    connection_sentence,
    detail_sentences,
    full_stop,
    holds_of,
    listed,
    main_sentences,
    member_notes,
    remake_of,
    said_of,
    things_of_all,
    things_of_one,
    warnings,
)

_INSERTED = {LineKind.TIGHTEN: "tighten:", LineKind.TEST: "test:"}
"""How the title of a line begins that is not the step itself turned round."""

_BECAUSE = {
    str(RelationKind.MUST): "{earlier} must come off before {later}",
    str(RelationKind.LOOSEN): "{earlier} was loosened before {later} came off",
    str(RelationKind.TEST): "{earlier} covers {later}",
    str(RelationKind.REFIT): "{later} is to go back before {earlier}, as stated for the way back alone",
    "came out with": "{later} came out with {earlier} and is finished inside it first",
    "came off before, as recorded": "{earlier} came off before {later}, as recorded",
}


def numbered(slots: Sequence[Slot]) -> dict[str, str]:
    """The number of each line by its key: `A07`, and `A07a` for what goes on first at the line after it."""
    whole = sum(slot.kind is not LineKind.FIRST for slot in slots)
    width = max(2, len(str(whole)))
    numbers: dict[str, str] = {}
    count = 0
    for slot in slots:
        count += slot.kind is not LineKind.FIRST
        numbers[slot.key] = f"A{count:0{width}d}" + ("a" if slot.kind is LineKind.FIRST else "")
    return numbers


class LineWriter:
    """Puts words to the places of an arrangement."""

    def __init__(self, index: RefitIndex, arrangement: Arrangement) -> None:
        self._index = index
        self._arrangement = arrangement
        self._numbers = numbered(arrangement.slots)
        self._left_out = {left.step for left in arrangement.left_out}
        self._places = {s.key: i for i, s in enumerate(arrangement.slots)}
        self._titles = {s.key: self._title(s) for s in arrangement.slots}
        self._covered_by: dict[str, str] = {}
        for slot in reversed(arrangement.slots):
            for key in arrangement.follows[slot.key]:
                self._covered_by[key] = slot.key

    def line(self, slot: Slot) -> RefitLine:
        """The line of one slot, complete."""
        if slot.key == CHECK:
            return replace(check_line(self._index, self._arrangement.checked), number=self._numbers[CHECK])
        if slot.key == AUDIT:
            before = tuple(sorted(self._arrangement.follows[AUDIT], key=self._places.__getitem__))
            return replace(audit_line(self._index), number=self._numbers[AUDIT], must_follow=before)
        if slot.kind is LineKind.FIRST:
            return self._first_line(slot)
        return self._step_line(slot) if slot.key == slot.step else self._inserted_line(slot)

    def _title(self, slot: Slot) -> str:
        if not slot.step:
            return slot.key
        step = self._index.steps[slot.step]
        members = self._index.sets.members(step)
        each = f", each × {len(members)}" if members else ""
        if slot.key == slot.step:
            anew = step.one_way is not None
            if step.fasteners and any(whole_of(r) for r in self._index.went_on_at.get(step.code, ())):
                return f"fasten {step.what}{each}"
            return title_of(step.what, step.action, sets_again=bool(step.settings), made_anew=anew) + each
        if slot.kind is LineKind.FIRST:
            return f"{_first_on(self._first_names(step))}, before {step.what}{each}"
        return f"{_INSERTED[slot.kind]} {step.what}{each}"

    def _named(self, key: str) -> str:
        return f"{self._numbers[key]} {self._titles[key]}"

    def _frame(self, slot: Slot, step: Step) -> dict[str, Any]:
        """The fields that every line of a step has."""
        before = self._arrangement.follows[slot.key]
        return {
            "number": self._numbers[slot.key],
            "key": slot.key,
            "kind": slot.kind,
            "title": self._titles[slot.key],
            "steps": (step.code,),
            "members": self._index.sets.members(step),
            "mirrored": self._index.sets.mirrored(step),
            "inside": self._inside(slot, step),
            "must_follow": tuple(sorted(before, key=self._places.__getitem__)),
            "why_here": tuple(self._why(slot, before)),
            "together": self._arrangement.together.get(slot.key, ()),
        }

    def _inside(self, slot: Slot, step: Step) -> str:
        """The sub-assembly that the line is finished inside of; a test may come after the whole has gone back."""
        lump = self._index.sub_assemblies.get(step.inside)
        if lump is None:
            return ""
        goes_back = self._places.get(lump.came_out_at)
        return lump.code if goes_back is None or self._places[slot.key] <= goes_back else ""

    def _step_line(self, slot: Slot) -> RefitLine:
        index, step = self._index, self._index.steps[slot.step]
        frame = self._frame(slot, step)
        fasteners = going_back(index.sets, step, partial(index.fastener_here, step=step.code))
        nipped = tuple(self._tightened_at(slot.step))
        components = index.components.get(step.code, ())
        going = [c for c in step.connections if not c.stays_on] if index.sets.taken_apart(step) else []
        holds = holds_of(step)
        return RefitLine(
            **frame,
            said=(
                *said_of(SentenceGroup.MIND, warnings(step, frame["members"])),
                *said_of(SentenceGroup.DO, main_sentences(index, step)),
                *said_of(SentenceGroup.DO, (f"Only nip it now: {number} tightens it." for number in nipped)),
                *said_of(SentenceGroup.BEFORE, self._already_on(step)),
                *said_of(SentenceGroup.TAKE, things_of_all(index, step)),
                *said_of(SentenceGroup.TAKE, things_of_one(index, step)),
                *detail_sentences(step, frame["members"], tested_later=f"{step.code}:test" in self._numbers),
            ),
            hazards=_worst_first((*_still_there(step.hazards), *(h for c in components for h in c.hazards))),
            fasteners=fasteners,
            bags=tuple(dict.fromkeys(f.bag for f in fasteners if f.bag)),
            box=step.box,
            connections=tuple(LineConnection(c.code, connection_sentence(c), c) for c in going),
            settings=step.settings,
            **with_holds(holds),
            member_notes=member_notes(step, frame["members"]),
            helper=step.helper,
            weight_kg=step.weight_kg,
            support=step.support,
            tighten="" if nipped else drawn_down(step),
            remake=remake_of(step.one_way),
        )

    def _tightened_at(self, code: str) -> Iterator[str]:
        """Numbers of the later lines that tighten what is only nipped here."""
        loosened = (code, *(r.earlier for r in self._index.nipped_for.get(code, ())))
        for key in dict.fromkeys(f"{c}:tighten" for c in loosened):
            if key in self._numbers:
                yield self._numbers[key]

    def _first_names(self, step: Step) -> Iterator[str]:
        """What goes on first, by its name: as noted, as related, and the sleeves of its wires."""
        yield from (text.strip().rstrip(".") for text in step.refit.first if text.strip())
        yield from (name for name, _ in self._threaded_on(step))
        yield from (f"sleeve on {c.code}" for c in step.connections if c.sleeve.strip() and not c.stays_on)

    def _threaded_on(self, step: Step) -> Iterator[tuple[str, str]]:
        """What of other steps is threaded on first and not noted at the step itself: its name, and of which step."""
        noted = " ".join(step.refit.first).casefold()
        for r in self._index.goes_on_first.get(step.code, ()):
            source = self._index.steps.get(r.earlier)
            items = r.items.strip()
            if source is not None and not (items and items.casefold() in noted):
                yield items or source.what, r.earlier

    def _first(self, step: Step) -> Iterator[str]:
        """What is threaded on or in place before the joint: as noted, as related, and the sleeves of its wires."""
        yield from (full_stop(text) for text in step.refit.first if text.strip())
        yield from (f"{name} (of {of}) threaded on or in place." for name, of in self._threaded_on(step))
        for c in step.connections:
            if c.sleeve.strip() and not c.stays_on:
                yield f"Sleeve on {c.code}: {full_stop(c.sleeve)}"

    def _already_on(self, step: Step) -> Iterator[str]:
        for r in self._index.went_on_at.get(step.code, ()):
            number = self._numbers.get(f"{r.later}:first") or self._numbers.get(r.later)
            if number is not None:
                yield f"Went on first at {number}: {full_stop(r.items.strip() or step.what)}"

    def _first_line(self, slot: Slot) -> RefitLine:
        """What is threaded on or put in place before the joint of its step is made."""
        step = self._index.steps[slot.step]
        whole = [self._index.steps[of] for _, of in self._threaded_on(step) if of in self._left_out]
        dangers = [hazard for one in (step, *whole) for hazard in one.hazards]
        return RefitLine(
            **self._frame(slot, step),
            first=tuple(self._first(step)),
            said=tuple(sentence for one in whole for sentence in detail_sentences(one, self._index.sets.members(one))),
            box=", ".join(dict.fromkeys(one.box for one in whole if one.box)),
            hazards=_worst_first(_still_there(dangers)),
        )

    def _inserted_line(self, slot: Slot) -> RefitLine:
        """The final tightening of what was nipped, or the test of what is about to be covered."""
        step = self._index.steps[slot.step]
        frame = self._frame(slot, step)
        if slot.kind is LineKind.TIGHTEN:
            nipped = [self._index.steps.get(r.later) for r in self._index.loosened_for.get(step.code, ())]
            ways = [drawn_down(s) for s in (step, *nipped) if s is not None]
            align = "Look once more that it is aligned, then tighten as tight as it was found."
            return RefitLine(
                **frame, said=(Sentence(SentenceGroup.DO, align),), tighten=" ".join(dict.fromkeys(filter(None, ways)))
            )
        remake = step.one_way.remake if step.one_way is not None else None
        hold = remake.hold if remake is not None and waits_for_cure(step) else None
        said = [step.refit.test, *(r.why for r in self._index.tested_before.get(step.code, ()))]
        tests = [full_stop(text) for text in dict.fromkeys(s.strip() for s in said) if text]
        if not tests and hold is None:
            tests = ["Test that it works now; it cannot be reached once it is covered."]
        holds = () if hold is None else (HoldAt(hold),)
        said_here = tuple(said_of(SentenceGroup.DO, tests))
        return RefitLine(**frame, said=said_here, hazards=_worst_first(_still_there(step.hazards)), **with_holds(holds))

    def _why(self, slot: Slot, before: Mapping[str, Edge | None]) -> Iterator[str]:
        """Why the line stands where it stands."""
        if slot.kind is LineKind.FIRST:
            own = self._named(slot.step)
            yield f"It goes on before {own}: once that joint is made it cannot be put there any more."
        elif slot.key != slot.step:
            cover = self._covered_by.get(slot.key)
            hidden = cover is not None and cover != AUDIT and not cover.startswith(f"{slot.step}:")
            until = f", before {self._named(cover)} covers it" if cover is not None and hidden else ""
            what = "It was only nipped" if slot.kind is LineKind.TIGHTEN else "It is tested in place"
            yield f"{what} at {self._numbers[slot.step]}; this comes as late as can be{until}."
            return
        if slot.kind is LineKind.FIRST:
            return
        for key, edge in before.items():
            if key == f"{slot.step}:first":
                yield f"After {self._named(key)}: it is threaded on or in place before the joint is made."
                continue
            if edge is None:
                yield "Nothing has to be in place before it but the opening check."
                continue
            because = _BECAUSE[edge.why].format(earlier=edge.earlier, later=edge.later)
            reason = self._index.reasons.get((edge.earlier, edge.later), "").strip()
            way = "" if key.partition(":")[0] in (edge.later, CHECK) else f" ({edge.later} is left out)"
            yield full_stop(f"After {self._named(key)}: {because}{f' ({reason})' if reason else ''}{way}")


def _first_on(names: Iterable[str]) -> str:
    """`first: entry bush`, of several the first with the number of the others; what is said of it stands below."""
    named = [re.split(r"[,;:(]", name)[0].strip() or name for name in names]
    more = f" and {len(named) - 1} more" if len(named) > 1 else ""
    return f"first: {named[0]}{more}" if named else "put on first"


def drawn_down(step: Step) -> str:
    """How the fasteners of a step are tightened, with reference values; empty when it has none that are drawn down."""
    return " ".join(filter(None, (_drawn_down(step), *torque_sentences(step))))


def _drawn_down(step: Step) -> str:
    kinds: dict[str, int] = {}
    for f in step.fasteners:
        new = new_of(f)
        if f.piece:
            continue
        if f.then is Then.REUSE:
            kinds[f.kind] = kinds.get(f.kind, 0) + f.found
        if new is not None:
            kinds[new.kind] = kinds.get(new.kind, 0) + new.count
    for n in step.refit.new_fasteners:
        kinds[n.kind] = kinds.get(n.kind, 0) + n.count
    notes, count = step.refit, on_one_face(kinds.items())
    if count == 0 or (count == 1 and notes.sequence):
        said = listed([text for text in (notes.torque and f"to {notes.torque}", notes.sequence) if text], ",")
        return f"Tighten {full_stop(said)}" if said else ""
    face = face_order(step.positions, {k: n for k, n in kinds.items() if is_drawn_down(k)})
    return pattern(len(face.numbers) if face else count, notes.sequence, notes.torque, face)


def _still_there(hazards: Iterable[Hazard]) -> tuple[Hazard, ...]:
    """Those that are still there when the thing goes back."""
    return tuple(h for h in hazards if not h.gone_at_refit)


def _worst_first(hazards: Iterable[Hazard]) -> tuple[Hazard, ...]:
    return tuple(sorted(each_danger(hazards), key=lambda h: h.signal.rank))
