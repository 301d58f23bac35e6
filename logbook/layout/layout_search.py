"""The search for a layout: everything placed, nothing bought, least worth used up, the largest rest, fewest settings.

It can be ended at any time with the best so far. Parts that share no piece are searched apart, each with its share
of the rounds. What the answer claims (`proven`, `fewest_pieces`) rests on bounds, never on having looked long.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from random import Random
from time import monotonic

from logbook.errors import InputError
from logbook.layout.bounds import least, never
from logbook.layout.choosing import cheapen
from logbook.layout.crowding import crowd
from logbook.layout.cut_records import Layout, Leftover, Node, PartToCut, Piece, Rules, Unplaced
from logbook.layout.cutting import cuts_of
from logbook.layout.exact import MOST_ITEMS, exact
from logbook.layout.improving import Improver, ScoredFilling, SearchEffort, used_pieces
from logbook.layout.misses import Misses, purchases_for
from logbook.layout.nesting import MOST_PARTS, deep_trees
from logbook.layout.preparing import CutItem, Prepared, prepare, worth_of
from logbook.layout.trees import leftovers_of, placements_of, tree_of

Progress = Callable[[Layout], None]
Stop = Callable[[], bool]

POLISH = 0.25
"""Share of the rounds that goes into better rests when the worth is settled."""


@dataclass(frozen=True, slots=True)
class _Asked:
    parts: Sequence[PartToCut]
    pieces: Sequence[Piece]
    rules: Rules
    stop: Stop


@dataclass(slots=True)
class _State:
    """One set of parts and pieces that depend on each other, and the best for it so far."""

    prepared: Prepared
    found: ScoredFilling | None = None
    floor: int = 0
    area_floor: int = 0
    count_floor: int = 0


def search(
    parts: Sequence[PartToCut],
    pieces: Sequence[Piece],
    rules: Rules,
    progress: Progress | None = None,
    stop: Stop | None = None,
) -> Layout:
    """Lay parts out on pieces.

    Args:
        parts: what is wanted; codes must differ.
        pieces: the pile; codes must differ.
        rules: kerf, truing, tolerance, what is kept, and how long is searched.
        progress: given the best layout so far whenever it became better; at most a few times a second.
        stop: asked often; true ends the search with the best so far.

    Raises:
        InputError: two parts or two pieces have one code, a size is not more than nothing, or there are more than
            `MOST_PARTS` parts.
    """
    with deep_trees():
        return _searched(parts, pieces, rules, progress, stop)


def _searched(
    parts: Sequence[PartToCut], pieces: Sequence[Piece], rules: Rules, progress: Progress | None, stop: Stop | None
) -> Layout:
    asked = _Asked(parts, pieces, rules, stop or never)
    _check(asked)
    began = monotonic()
    prepared, misfits = prepare(parts, pieces, rules)
    states = [_State(p) for p in prepared]
    teller = _Teller(asked, states, misfits, progress)
    total = sum(len(p.items) for p in prepared)
    until = None
    if rules.seconds is not None:  # the answer is put together afterwards, and that takes about 1 ms a part
        until = began + rules.seconds - min(0.4 * rules.seconds, 0.001 * total)
    for number, state in enumerate(states):
        share = len(state.prepared.items) / total
        effort = SearchEffort(
            None if rules.rounds is None else max(20, int(rules.rounds * share)),
            _until(until, states[number:], began),
            stop,
        )
        chance = Random(rules.seed)  # noqa: S311 - chance that can be repeated, no secret
        _solve(state, chance, effort, teller)
        teller.rounds += effort.done
    return _layout(asked, states, misfits, teller.rounds)


def _until(until: float | None, states: Sequence[_State], began: float) -> float | None:
    """When the first of these must end, so that each gets its share of the time left."""
    if until is None:
        return None
    now = max(began, monotonic())
    items = sum(len(s.prepared.items) for s in states)
    return now + max(0.0, until - now) * len(states[0].prepared.items) / items


class _Teller:
    """Tells whoever waits about a better layout, a few times a second."""

    def __init__(
        self, asked: _Asked, states: Sequence[_State], misfits: Sequence[CutItem], progress: Progress | None
    ) -> None:
        self._asked, self._states, self._misfits, self._progress = asked, states, misfits, progress
        self._next = 0.0
        self.rounds = 0

    def __call__(self) -> None:
        if self._progress is None or monotonic() < self._next or any(s.found is None for s in self._states):
            return
        began = monotonic()
        self._progress(_layout(self._asked, self._states, self._misfits, self.rounds, brief=True))
        # Telling takes its time too, with many parts; it may have a tenth of the whole.
        self._next = monotonic() + max(0.2, 10 * (monotonic() - began))


def _solve(state: _State, random: Random, effort: SearchEffort, teller: _Teller) -> None:
    """The best filling of one set within its effort."""
    prepared = state.prepared

    def better(found: ScoredFilling) -> None:
        state.found = found
        teller()

    improver = Improver(prepared, random, effort, better)
    improver.first()
    if len(prepared.items) <= MOST_ITEMS and not any(prepared.defects) and not improver.best.left:
        best = exact(prepared, effort.over)
        if best is not None:
            improver.take(best, [])
            state.floor = improver.best.score[1]
    if improver.best.left and not effort.ended:
        rounds = effort.done + 400 if effort.rounds is None else (effort.rounds - effort.done) // 2
        improver.settle(improver.best.filling, improver.best.left, range(len(prepared.pieces)), rounds)
        crowd(improver)
    placed = _placed(state)
    state.floor = max(state.floor, least(prepared, prepared.worth, placed, effort.over))
    state.area_floor = least(prepared, [p.length * p.width for p in prepared.pieces], placed, effort.over)
    state.count_floor = least(prepared, [1] * len(prepared.pieces), placed, effort.over)
    if effort.rounds is not None:
        polish = int(effort.rounds * POLISH)
        effort.rounds -= polish
        cheapen(improver, state.floor)
        effort.rounds += polish
        effort.ended = effort.until is not None and monotonic() >= effort.until
        improver.polish(polish)
    else:
        _by_the_clock(improver, state.floor)


def _by_the_clock(improver: Improver, floor: int) -> None:
    """Without a number of rounds the time is divided instead."""
    effort = improver.effort
    until = effort.until
    if until is not None:
        effort.until = until - POLISH / 2 * max(0.0, until - monotonic())
    cheapen(improver, floor)
    effort.until, effort.ended = until, effort.stop is not None and effort.stop()
    improver.polish(1_000_000 if until is not None else 2000)


def _placed(state: _State) -> list[int]:
    left = set(state.found.left) if state.found is not None else set()
    return [i for i in range(len(state.prepared.items)) if i not in left]


def _layout(
    asked: _Asked, states: Sequence[_State], misfits: Sequence[CutItem], rounds: int, brief: bool = False
) -> Layout:
    """The answer from the best fillings."""
    trees: dict[str, Node] = {}
    left = list(misfits)
    proven = fewest = not brief
    for state in states:
        if state.found is None:
            continue
        used = used_pieces(state.found.filling)
        left += [state.prepared.items[i] for i in state.found.left]
        proven = proven and state.found.score[1] <= state.floor
        fewest = fewest and len(used) <= state.count_floor
        for piece in used:
            trees[state.prepared.pieces[piece].code] = tree_of(state.prepared, state.found.filling, piece)
    ordered = tuple((p.code, trees[p.code]) for p in asked.pieces if p.code in trees)
    summed = _summed(asked, states, ordered, left, brief)
    return replace(summed, proven=proven, fewest_pieces=fewest, rounds=rounds)


def _summed(
    asked: _Asked, states: Sequence[_State], trees: tuple[tuple[str, Node], ...], left: list[CutItem], brief: bool
) -> Layout:
    """What follows from the trees: placements, leftovers, cuts, areas, values and bounds."""
    named = dict(trees)
    pieces = [p for p in asked.pieces if p.code in named]
    scale = sum(p.length * p.width for p in asked.pieces) + 1
    worth = dict(zip((p.code for p in asked.pieces), worth_of(asked.pieces), strict=True))
    placements = tuple(p for code, node in trees for p in placements_of(code, node))
    leftovers = tuple(x for p in pieces for x in leftovers_of(p, named[p.code], asked.rules))
    cuts = cuts_of(trees, asked.pieces, asked.rules)
    return Layout(
        placements=placements,
        unplaced=_unplaced(asked, left, leftovers),
        used=tuple(p.code for p in pieces),
        leftovers=leftovers,
        cuts=cuts,
        trees=trees,
        purchases=() if brief else purchases_for(asked.parts, left, asked.rules, asked.stop),
        used_area=sum(p.length * p.width for p in pieces),
        part_area=sum(p.length * p.width for p in placements),
        bound_area=sum(s.area_floor for s in states),
        used_value=_money(sum(worth[p.code] // scale for p in pieces)),
        bound_value=_money(sum(s.floor // scale for s in states)),
        settings=len({c.setting for c in cuts}),
    )


def _money(ten_thousandths: int) -> Decimal:
    return (Decimal(ten_thousandths) / 10_000).quantize(Decimal("0.01"))


def _unplaced(asked: _Asked, left: Iterable[CutItem], leftovers: Sequence[Leftover]) -> tuple[Unplaced, ...]:
    missing = Counter(m for item in left for m in item.parts)
    misses = Misses(asked.pieces, asked.rules, leftovers)
    return tuple(
        Unplaced(asked.parts[m].code, number, misses.why(asked.parts[m])) for m, number in sorted(missing.items())
    )


def _check(asked: _Asked) -> None:
    for what, codes in (("part", [p.code for p in asked.parts]), ("piece", [p.code for p in asked.pieces])):
        twice = [c for c, n in Counter(codes).items() if n > 1]
        if twice:
            raise InputError(f"There are two {what}s {twice[0]}. Give each its own code.")
    if (count := sum(part.quantity for part in asked.parts)) > MOST_PARTS:
        raise InputError(
            f"{count:,} parts are to be cut, and at most {MOST_PARTS:,} are laid out at once. Lay out fewer at a time."
        )
    for part in asked.parts:
        if part.length <= 0 or part.width <= 0 or part.quantity < 0:
            raise InputError(f"Part {part.code} has no size. Give it a length and a width above 0.")
    for piece in asked.pieces:
        if piece.length <= 0 or piece.width <= 0:
            raise InputError(f"Piece {piece.code} has no size. Give it a length and a width above 0.")
