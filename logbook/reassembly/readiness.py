"""What can be done now, what waits for what, and which one missing thing would free most."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from functools import cached_property
from itertools import chain

from logbook.model.plural import is_or_are
from logbook.model.unit import LineState, Unit
from logbook.model.words import AT_REST
from logbook.reassembly.availability import LineNeed, needs_of, wait_need
from logbook.reassembly.counting import Sets
from logbook.reassembly.index import RefitIndex, only_refit_differs
from logbook.reassembly.ledger import bag_differences
from logbook.reassembly.list_record import RefitList
from logbook.reassembly.preference import preferred_order
from logbook.reassembly.refit_records import LineKind, OpenDifference, Readiness, RefitLine, RefitStanding
from logbook.reassembly.wording import listed, many

Held = dict[tuple[str, ...], LineNeed]
"""What keeps a line out of reach, by what it is."""
_NOTHING: Held = {}
_AUDIT = LineKind.AUDIT
_MOST_HOLDS = 3
"""So many of the open hold points before a line are named."""
_MOST_NAMED = 6
"""So many lines are named one by one in a sentence; more are counted."""


def readiness(unit: Unit, lst: RefitList, now: datetime) -> Mapping[str, Readiness]:
    """For each line, by key, whether it can be done now and why not.

    Args:
        unit: the unit that `lst` was made from, with its ticks.
        lst: its reassembly list.
        now: decides whether a wait is over; ends of waits are said in its time zone.
    """
    return Progress(unit, lst, now).lines


def standing(unit: Unit, lst: RefitList, now: datetime) -> RefitStanding:
    """How many lines are done and in reach, and which one missing thing would bring most others in reach."""
    return Progress(unit, lst, now).standing()


def ready_order(unit: Unit, lst: RefitList, now: datetime) -> tuple[RefitLine, ...]:
    """The lines that can be done with what is here, in an order that respects the relations.

    First what can be done now, then what follows from it; lines done already are not repeated. Nothing that
    covers an open hold point is among them. Lines that go back together stay together, and “better before” is
    kept wherever the rest allows it.
    """
    return _in_order(Progress(unit, lst, now))


def first_to_do(progress: Progress) -> RefitLine | None:
    """The first line of that order that can be done now; None when none can."""
    return next((line for line in _in_order(progress) if progress.lines[line.key].ready), None)


def _in_order(progress: Progress) -> tuple[RefitLine, ...]:
    open_lines = [line for line in progress.list.lines if progress.reachable(line)]
    groups: dict[str, list[RefitLine]] = {}
    for line in open_lines:
        groups.setdefault(line.together[0] if line.together else line.key, []).append(line)
    group_of = {line.key: name for name, group in groups.items() for line in group}
    before = ((group_of.get(key), group_of[x.key]) for x in open_lines for key in x.must_follow)
    hard = {(a, b) for a, b in before if a is not None and a != b}
    soft = {(group_of[a], group_of[b]): None for a, b in progress.list.prefers if a in group_of and b in group_of}
    order = preferred_order(list(groups), hard, [(a, b) for a, b in soft if a != b])
    return tuple(line for name in order for line in groups[name])


class Progress:
    """The ticks of a unit laid over its list at one moment.

    Args:
        unit: the unit.
        lst: its list.
        now: the moment.
        on_paper: while ticks are typed from paper.
        before: the progress of the same unit before a change of nothing but ticks, readings and counts; what was
            looked up in the record then is taken from there. Anything else is not, so it may be given always.
    """

    def __init__(
        self, unit: Unit, lst: RefitList, now: datetime, *, on_paper: bool = False, before: Progress | None = None
    ) -> None:
        self.unit = unit
        self.list = lst
        self.now = now
        self._on_paper = on_paper
        same = before is not None and only_refit_differs(unit, before.unit)
        self.index: RefitIndex = before.index if before is not None and same else _index_of(unit, lst)
        self._asking: Container[str] = lst.asking if self.index is lst.index else lst.by_key
        self.states: dict[str, LineState] = {x.line: x for x in unit.refit.lines}
        """The ticks by their key. Edits that make several ticks put them here one after the other, by `put`."""
        self._over = _Over(self)
        self._lumps: dict[str, Sequence[tuple[str, str]]] = {}
        counted_as_before = before is not None and same and unit.refit.counts == before.unit.refit.counts
        self.differences: tuple[OpenDifference, ...] = (
            before.differences if before is not None and counted_as_before else tuple(_differences(unit, self.index))
        )
        self._by_step: dict[str, list[OpenDifference]] = {}
        for d in self.differences:
            for code in d.steps:
                self._by_step.setdefault(code, []).append(d)

    def put(self, states: Mapping[str, LineState]) -> None:
        """Lay further ticks over the list; what was worked out from the ticks before is forgotten."""
        self.states.update(states)
        self._over.clear()
        self._lumps.clear()
        worked_out = ["own", "held_up", "lines"]
        if any(self.list.by_tick[key].hold is not None for key in states):
            worked_out += ["open_holds", "behind", "behind_members"]
        for name in worked_out:
            self.__dict__.pop(name, None)

    def is_done(self, line: RefitLine) -> bool:
        """Whether every tick of the line is made; a tick of a whole set counts for each of its members."""
        whole = self.states.get(line.key)
        if (whole is not None and whole.done) or not line.members:
            return whole is not None and whole.done
        return all((state := self.states.get(key)) is not None and state.done for key in line.tick_keys)

    @cached_property
    def lines(self) -> Mapping[str, Readiness]:
        """How each line stands, by its key."""
        own, held = self.own, self.held_up
        for line in self.list.lines:
            self._over[line.key] = _not_done(line) if line.key in own else self.hold_open(line)
        return {line.key: self.of(line, in_reach=not held[line.key]) for line in self.list.lines}

    def standing(self) -> RefitStanding:
        """How far it is, and which one missing thing would bring most others in reach."""
        total = len(self.list.lines)
        done = total - len(self.own)
        if self.unit.stage in AT_REST and done < total:
            at_rest = _at_rest_sentence(self.unit, done, total)
            return RefitStanding(done, 0, total, None, at_rest, at_rest)
        in_reach = sum(self.reachable(line) for line in self.list.lines)
        frees = self.frees()
        first = "" if frees is not None or done + in_reach == total else self.first_missing()
        sentence, hint = (say(done, in_reach, total, frees, first) for say in (_standing_sentence, _hint))
        return RefitStanding(done, in_reach, total, frees, sentence, hint)

    def of(self, line: RefitLine, *, in_reach: bool = False) -> Readiness:
        """One line."""
        own = self.own.get(line.key)
        done = own is None
        missing = tuple([need.sentence for need in own]) if own else ()
        if line.together or line.kind is _AUDIT:
            before = self.lines_before(line) + self.lump_waits(line)
        else:
            before = tuple(filter(None, map(self._over.__getitem__, line.must_follow)))
        behind = () if done else self.behind.get(line.key, ())
        holds = tuple([self.open_holds[key] for key in behind])
        waits = self.joints_setting(line, line.tick_keys) if line.members and not (done or missing) else ()
        if (missing or before or holds) and not done:
            stops = self._stops_of_members(line)
            if not all(stops.values()):
                missing, before, holds, waits = (), (), (), _each_once(stops.values())
                in_reach, behind = True, ()
        ready = not (done or missing or before or holds)
        open_here = missing
        if self.differences:
            open_here += tuple([d.sentence for d in self._differences_at(line) if d.sentence not in open_here])
        reasons = (*open_here, *before, *(said for said in holds if said not in before))
        in_reach = done or (in_reach and not behind)
        next_one = all(self.is_done(self.list.by_key[key]) for key in line.must_follow)
        return Readiness(ready, done, reasons, open_here, in_reach, holds if next_one else (), waits)

    def members_free(self, line: RefitLine) -> tuple[str, ...]:
        """The members of a line, each of which can be done now by itself, whatever the others wait for.

        Somebody refits one lamp wholly and then the other. What goes back as one lump is done with all of them.
        """
        return tuple(member for member, stops in self._stops_of_members(line).items() if not stops)

    def waits_at(self, line: RefitLine, keys: Iterable[str]) -> tuple[str, ...]:
        """What single members of a line wait for: what is missing, a line before, a joint that sets, a hold point.

        Args:
            line: a line of several members that is no part of a lump.
            keys: its ticks that are asked about; those that are made are passed over.
        """
        stops = self._stops_of_members(line)
        return _each_once(stops[member] for member in self._not_ticked(line, keys))

    def _stops_of_members(self, line: RefitLine) -> dict[str, tuple[str, ...]]:
        """What keeps each member without a tick from being done now; nothing for a single thing or a lump."""
        if line.together or not line.members:
            return {}
        needs = self.own_needs(line)
        return {member: self._stops_of(line, member, needs) for member in self._not_ticked(line, line.tick_keys)}

    def _stops_of(self, line: RefitLine, member: str, needs: Sequence[LineNeed]) -> tuple[str, ...]:
        """What keeps one member of a line from being done now, in sentences."""
        missing = [f"{member}: {need.sentence}" for need in needs if need.is_for(member)]
        before = [said for key in line.must_follow for said in self._before_member(self.list.by_key[key], line, member)]
        holds = [said for said in self._holds_before_member(line, member) if said not in before]
        return (*missing, *before, *holds)

    def _before_member(self, before: RefitLine, line: RefitLine, member: str) -> Iterator[str]:
        """What keeps a line from being over for one member of the line after it."""
        if not goes_by_members(before, line):
            if over := self._over[before.key]:
                yield over
            return
        what = f"{member}: {before.number} {before.title}"
        if not self._is_ticked(before, f"{before.key}/{member}"):
            yield f"{what} is not done."
        elif said := self._hold_open_at(before, member):
            yield f"{member}: {said}"
        elif before.key in self.list.cures and (end := self._own_end(before, member, self.sets_at(before))):
            yield wait_need(("cure", before.key), f"{what} is curing", end, self.now).sentence

    def _hold_open_at(self, line: RefitLine, member: str) -> str:
        """What the hold point of a line lacks at one member, as a sentence; empty when it has all or is none there."""
        code, lacks = self._hold_lacks(line, member, f"{line.key}/{member}")
        return f"hold point {code} at {line.number} has no {lacks}." if lacks else ""

    def _hold_lacks(self, line: RefitLine, member: str, key: str) -> tuple[str, str]:
        """Of one tick of a line the code of its hold point and what that lacks; both empty when it lacks nothing."""
        hold = line.hold_for(member)
        if hold is None:
            return "", ""
        state = self.states.get(key) or self.states.get(line.key) or LineState(line=key)
        lacks = listed(hold.lacks(state.reading, state.initials), "and no")
        return (hold.code, lacks) if lacks else ("", "")

    def _holds_before_member(self, line: RefitLine, member: str) -> tuple[str, ...]:
        """The open hold points before one member of a line, in sentences."""
        keys = self.behind_members.get((line.key, member), ()) if self.open_holds else ()
        return tuple(self.open_holds[key] for key in keys)

    @cached_property
    def behind_members(self) -> dict[tuple[str, str], tuple[str, ...]]:
        """As `behind`, for each member of the lines of a set: a hold that is open at another member is passed by.

        It is passed by only along lines that are all done at each member by itself.
        """
        found: dict[tuple[str, str], tuple[str, ...]] = {}
        for line in self.list.lines if self.open_holds else ():
            for member in line.members if not line.together else ():
                holds: dict[str, None] = {}
                for key in line.must_follow:
                    before = self.list.by_key[key]
                    if not goes_by_members(before, line):
                        holds |= dict.fromkeys(self._holds_before((key,), self.behind))
                        continue
                    holds |= dict.fromkeys(found.get((key, member), ()))
                    if self._hold_open_at(before, member):
                        holds[key] = None
                if holds:
                    found[line.key, member] = tuple(sorted(holds, key=self.list.places.__getitem__)[:_MOST_HOLDS])
        return found

    def reachable(self, line: RefitLine) -> bool:
        """Whether a line is not done and can be done with what is here, now or later, with no open hold before it."""
        if self.is_done(line):
            return False
        return not (self.held_up[line.key] or line.key in self.behind) or bool(self.members_free(line))

    def lump_waits(self, line: RefitLine) -> tuple[str, ...]:
        """What the others of its lump wait for; what goes back together waits together."""
        if not line.together or self.is_done(line):
            return ()
        said = [text for key, text in self._waits_of_lump(line.together) if key != line.key]
        more = (f"{many(len(said) - _MOST_NAMED, 'more reason')} of that kind.",) if len(said) > _MOST_NAMED else ()
        return (*said[:_MOST_NAMED], *more)

    def _waits_of_lump(self, together: tuple[str, ...]) -> Sequence[tuple[str, str]]:
        """For each open line of a lump, by its key, what is missing at it and what outside the lump comes before it."""
        if together[0] not in self._lumps:
            waits = []
            for key in together:
                mate = self.list.by_key[key]
                if self.is_done(mate):
                    continue
                name = f"it goes back together with {mate.number} {mate.title}:"
                inside = set(together)
                outside = [k for k in mate.must_follow if k not in inside]
                waits += [(key, f"{name} {need.sentence}") for need in self.own_needs(mate)]
                waits += [(key, f"{name} {text}") for text in self._undone(outside)]
            self._lumps[together[0]] = waits
        return self._lumps[together[0]]

    def lines_before(self, line: RefitLine) -> tuple[str, ...]:
        """Sentences about the lines before it that are not done, or were passed without what they ask for."""
        if line.kind is _AUDIT:
            number = len(self.own) - (line.key in self.own)
            if number > _MOST_NAMED:
                return (f"{number} lines are not done.",)
            undone = [x.number for x in self.list.lines if x is not line and x.key in self.own]
            holds = [s for x in self.list.lines if x is not line and self.is_done(x) and (s := self.hold_open(x))]
            return (*((f"{listed(undone)} not done.",) if undone else ()), *holds)
        return self._undone(line.must_follow)

    def _undone(self, keys: Iterable[str]) -> tuple[str, ...]:
        """What keeps these lines from being over."""
        return tuple(filter(None, map(self._over.__getitem__, keys)))

    def hold_open(self, line: RefitLine) -> str:
        """What the hold point of a line lacks, as a sentence; empty when it has all or is none.

        `hold point H2 at A05 has no reading and no initials for R.`
        """
        if line.hold is None:
            return ""
        without: dict[str, dict[str, list[str]]] = {}
        for member, key in line.ticks:
            code, lacks = self._hold_lacks(line, member, key)
            if lacks:
                without.setdefault(code, {}).setdefault(lacks, []).append(member)
        said = []
        for code, lacking in without.items():
            words = [f"no {lacks}{_for_members(members, line)}" for lacks, members in lacking.items()]
            said.append(f"hold point {code} at {line.number} has {listed(words)}")
        return f"{listed(said)}." if said else ""

    @cached_property
    def open_holds(self) -> dict[str, str]:
        """The lines whose hold point lacks its reading or initials, by key, each with what it lacks."""
        found: dict[str, str] = {}
        for line in self.list.holding:
            lacks = self.hold_open(line)
            if lacks:
                found[line.key] = lacks
        return found

    @cached_property
    def behind(self) -> dict[str, tuple[str, ...]]:
        """For each line behind open hold points the keys of these, the first ones: work does not pass them.

        A line in between that was ticked all the same does not open the way, and what goes back together waits
        together.
        """
        if not self.open_holds:
            return {}
        found: dict[str, tuple[str, ...]] = {}
        lines, at = self.list.lines, 0
        while at < len(lines):
            lump = lines[at : at + max(1, len(lines[at].together))]
            at += len(lump)
            inside = {line.key for line in lump}
            outside = [key for line in lump for key in line.must_follow if key not in inside]
            for line in lump:
                within = [key for key in line.must_follow if key in inside]
                holds = self._holds_before((*outside, *within), found)
                if holds:
                    found[line.key] = holds
        return found

    def _holds_before(self, keys: Iterable[str], behind: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
        """The open hold points at these lines or before them, in the order of the list, at most a few."""
        holds: dict[str, None] = {}
        for key in keys:
            holds |= dict.fromkeys(behind.get(key, ()))
            if key in self.open_holds:
                holds[key] = None
        return tuple(sorted(holds, key=self.list.places.__getitem__)[:_MOST_HOLDS])

    @cached_property
    def own(self) -> dict[str, tuple[LineNeed, ...]]:
        """For each open line what is missing at itself, waits included."""
        return {line.key: self.own_needs(line) for line in self.list.lines if not self.is_done(line)}

    def own_needs(self, line: RefitLine) -> tuple[LineNeed, ...]:
        """What is missing at one line itself, with the waits that run before it."""
        cures, asks = self.list.cures, line.key in self._asking
        if not (cures or asks or line.kind is _AUDIT):
            return ()
        waits = [w for k in line.must_follow if k in cures for w in self._cure_waits(k, line)] if cures else []
        if line.kind is _AUDIT:
            open_counts = (
                LineNeed(("difference", d.bag, d.kind), f"explaining the difference in {d.kind}", d.sentence)
                for d in self.differences
            )
            return (*open_counts, *waits)
        needs = needs_of(self.index, line, self.now) if asks else ()
        return (*needs, *waits) if waits else needs

    def _cure_waits(self, key: str, line: RefitLine) -> Iterator[LineNeed]:
        """The wait after a line that is done, while it runs: what follows at the same members waits for one of them."""
        before = self.list.by_key[key]
        if not self.is_done(before):
            return
        ends = self.sets_at(before)
        until = max(ends.values(), default=None)
        if line.members and line.members == before.members:
            open_here = [member for member, own in line.ticks if not self._is_ticked(line, own)]
            still = [self._own_end(before, member, ends) for member in open_here]
            until = None if not all(still) else min(end for end in still if end is not None)
        if until is not None and until > self.now:
            yield wait_need(("cure", key), f"{before.number} {before.title} is curing", until, self.now)

    def _own_end(self, before: RefitLine, member: str, ends: Mapping[str, datetime]) -> datetime | None:
        """When the joint of one member has set; None when it has."""
        end = ends.get(f"{before.key}/{member}")
        return end if end is not None and end > self.now else None

    def _is_ticked(self, line: RefitLine, key: str) -> bool:
        whole, own = self.states.get(line.key), self.states.get(key)
        return (whole is not None and whole.done) or (own is not None and own.done)

    def joints_setting(self, line: RefitLine, keys: Iterable[str]) -> tuple[str, ...]:
        """Which joints before single members of a line still set; the arguments are those of `waits_at`."""
        asked = self._not_ticked(line, keys)
        said = []
        for key in line.must_follow if line.members else ():
            before = self.list.by_key[key]
            if key not in self.list.cures or before.members != line.members:
                continue
            ends = self.sets_at(before)
            for member in asked:
                end = self._own_end(before, member, ends)
                if end is not None:
                    what = f"{member}: {before.number} {before.title} is curing"
                    said.append(wait_need(("cure", key), what, end, self.now).sentence)
        return tuple(said)

    def _not_ticked(self, line: RefitLine, keys: Iterable[str]) -> list[str]:
        """The members of these ticks that are not made."""
        return [key.rpartition("/")[2] for key in keys if not self._is_ticked(line, key)]

    def sets_at(self, line: RefitLine) -> dict[str, datetime]:
        """When the joint that a line makes anew has set, for each of its ticks, which counts its wait by itself.

        Nothing where no wait is written down, and nothing where the work that makes the joint is done: its wait is
        that of the work.
        """
        if line.remake is None or not line.remake.wait or self.index.joint_done(line.key):
            return {}
        wait = timedelta(minutes=line.remake.wait)
        whole = self.states.get(line.key)
        found = {}
        for key in line.tick_keys:
            state = self.states.get(key)
            state = whole if state is None or not state.done else state
            # Ticks typed from paper all carry one moment, so that no wait between them can be seen.
            if state is not None and state.done and state.at and not (self._on_paper and state.at == self.now):
                found[key] = state.at + wait
        return found

    def _differences_at(self, line: RefitLine) -> Sequence[OpenDifference]:
        found = self._by_step.get(line.key, ())
        if not found or line.key not in line.steps:
            return ()
        kinds = {(f.bag, f.kind) for f in line.fasteners}
        return [d for d in found if not d.bag or (d.bag, d.kind) in kinds]

    @cached_property
    def held_up(self) -> dict[str, Held]:
        """For each line what keeps it out of reach: at itself, at lines before it, at lines of its lump.

        Two are enough to know that no one thing would free it, so no more are kept.
        """
        if not any(self.own.values()):
            return dict.fromkeys(self.list.by_key, _NOTHING)
        found: dict[str, Held] = {}
        lines, at = self.list.lines, 0
        while at < len(lines):
            line = lines[at]
            if not (line.together or self.own.get(line.key) or any(map(found.get, line.must_follow))):
                found[line.key] = _NOTHING
                at += 1
                continue
            lump = lines[at : at + max(1, len(lines[at].together))]
            found.update(self.held_in(lump, found))
            at += len(lump)
        return found

    def held_in(self, lump: Sequence[RefitLine], found: Mapping[str, Held]) -> dict[str, Held]:
        """What keeps the lines of one lump out of reach, `found` being that of the lines before them."""
        needs: Held = {}
        for line in lump:
            if line.key not in self.own:
                continue
            for need in self.own[line.key]:
                needs[need.ident] = need
            for key in line.must_follow:
                if len(needs) < 2 and key not in line.together and (before := found.get(key)):
                    needs.update(before)
        return {line.key: needs if line.key in self.own else {} for line in lump}

    def frees(self) -> tuple[str, int] | None:
        """The one thing that would bring most lines in reach; the first on the list when several would."""
        counts: dict[tuple[str, ...], int] = {}
        labels: dict[tuple[str, ...], str] = {}
        for key, needs in self.held_up.items():
            if key not in self.own:
                continue
            stops = {ident: need.label for ident, need in needs.items()}
            stops |= {("hold", k): self._hold_label(k) for k in self.behind.get(key, ())}
            is_one = len(stops) == 1 and all(need.one for need in needs.values())
            if is_one and not self.members_free(self.list.by_key[key]):
                ((ident, label),) = stops.items()
                counts[ident] = counts.get(ident, 0) + 1
                labels[ident] = label
        if not counts:
            return None
        best = max(counts, key=counts.__getitem__)
        return labels[best], counts[best]

    def first_missing(self) -> str:
        """What to see to first where no one thing would free a line: `A02: new cord not here (to buy).` and the like.

        It is what is missing at the first line that is kept back, in the order of the list; nothing where only lines
        of the way back itself are missing.
        """
        for line in self.list.lines:
            if needs := self.own.get(line.key, ()):
                return f"{line.number}: {needs[0].sentence}"
        return ""

    def _hold_label(self, key: str) -> str:
        """`hold point H1 at A01`."""
        line = self.list.by_key[key]
        return f"hold point {line.hold.code if line.hold is not None else ''} at {line.number}"


def _for_members(members: Sequence[str], line: RefitLine) -> str:
    """` for R`, when a hold point lacks something of some members of a set; nothing when it is of one thing."""
    return f" for {listed(members)}" if line.members else ""


def _each_once(said: Iterable[Iterable[str]]) -> tuple[str, ...]:
    """Sentences in their order, none twice."""
    return tuple(dict.fromkeys(chain.from_iterable(said)))


def goes_by_members(before: RefitLine, line: RefitLine) -> bool:
    """Whether a line and the one before it are done at each of the same members by itself."""
    return bool(line.members) and before.members == line.members and not (before.together or line.together)


class _Over(dict[str, str]):
    """For each line looked at what keeps it from being over; empty when nothing does."""

    def __init__(self, progress: Progress) -> None:
        super().__init__()
        self._progress = progress

    def __missing__(self, key: str) -> str:
        line = self._progress.list.by_key[key]
        text = self[key] = self._progress.hold_open(line) if self._progress.is_done(line) else _not_done(line)
        return text


def _not_done(line: RefitLine) -> str:
    return f"{line.number} {line.title} is not done."


def _index_of(unit: Unit, lst: RefitList) -> RefitIndex:
    """The record by its steps: the one that the list was made from, when nothing but ticks has changed since."""
    return (
        lst.index
        if lst.index is not None and only_refit_differs(unit, lst.index.unit)
        else RefitIndex(unit, Sets(unit))
    )


def _differences(unit: Unit, index: RefitIndex) -> Iterator[OpenDifference]:
    if unit.refit.counts:
        yield from bag_differences(unit, index.bags)
    yield from index.contradictions


def _at_rest_sentence(unit: Unit, done: int, total: int) -> str:
    """How far a unit got that is closed or stopped."""
    is_done = is_or_are(done)
    return f"The unit is {unit.stage}: {done or 'none'} of {many(total, 'line')} {is_done} done, none is to do now."


def _hint(done: int, in_reach: int, total: int, frees: tuple[str, int] | None, first: str) -> str:
    """What would free most, for where the figures stand beside it; the whole sentence where there is nothing to do."""
    if done == total:
        return _standing_sentence(done, in_reach, total, frees, first)
    if frees is None:
        return "" if done + in_reach == total else _several(first)
    return f"{frees[0][:1].upper()}{frees[0][1:]} would free {frees[1]}{' more' if in_reach else ''}."


def _several(first: str) -> str:
    """That more than one thing is missing, and which to see to first."""
    return f"Several things are missing, first at {first}" if first else "What comes before the others is still to do."


def _standing_sentence(done: int, in_reach: int, total: int, frees: tuple[str, int] | None, first: str) -> str:
    if total == 0:
        return "Nothing has been taken off yet, so nothing goes back."
    if done == total:
        return "The line is done." if total == 1 else f"All {total} lines are done."
    if done:
        said = f"{done} of {many(total, 'line')} {'is' if done == 1 else 'are'} done, "
        said += f"{in_reach or 'no'} more {'is' if in_reach == 1 else 'are'} in reach"
    elif in_reach:
        said = f"{in_reach} of {many(total, 'line')} {'is' if in_reach == 1 else 'are'} in reach"
    else:
        said = f"None of {many(total, 'line')} is in reach"
    if frees is None:
        return f"{said}." if done + in_reach == total else f"{said}. {_several(first)}"
    return f"{said}; {frees[0]} would free {frees[1]}{' more' if in_reach else ''}."
