"""The cuts at the saw: in an order that can be made, with the fence moved as seldom as that allows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import count, pairwise

from logbook.layout.cut_records import SHORT_CROSSCUT, SHORT_RIP, Cut, Node, Piece, Rules
from logbook.layout.trees import keeps_any

Key = tuple[bool, str, int, bool]
"""With a knife or the saw, axis, fence, only trueing or not: cuts with one key are made without moving the fence."""


@dataclass(slots=True)
class Job:
    """A cut that is to be made, and the one that must come before it."""

    piece: Piece
    node: Node
    source: str
    """Name of what lies on the saw."""
    keep: str
    rest: str
    keep_later: bool
    """What stays at the fence is worked on or kept."""
    rest_later: bool
    before: Job | None = None
    knife: bool = False
    """Cut without a kerf, with a knife or shears."""

    key: Key = field(init=False)
    """The fence setting it needs."""

    def __post_init__(self) -> None:
        self.key = (self.knife, self.node.axis, self.node.at, self.node.trim)


def cuts_of(trees: Sequence[tuple[str, Node]], pieces: Sequence[Piece], rules: Rules) -> tuple[Cut, ...]:
    """The numbered cuts of a layout, grouped by fence setting.

    Args:
        trees: how each used piece is cut down, as in `Layout.trees`.
        pieces: the pile.
        rules: the kerf, and which leftovers are kept.
    """
    return tuple(cut for cut, _ in ordered(trees, pieces, rules))


def ordered(trees: Sequence[tuple[str, Node]], pieces: Sequence[Piece], rules: Rules) -> list[tuple[Cut, Node]]:
    """The cuts as `cuts_of` gives them, each with the node of the tree at which it divides."""
    by_code = {p.code: p for p in pieces}
    jobs = [job for code, node in trees for job in _jobs(by_code[code], node, rules)]
    sequence = min((_sequence(jobs, wide) for wide in (False, True)), key=_settings)
    found: list[tuple[Cut, Node]] = []
    setting, last = 0, None
    for order, job in enumerate(sequence, 1):
        setting += job.key != last
        last = job.key
        found.append((_cut(job, order, setting, rules), job.node))
    return found


def _settings(sequence: Sequence[Job]) -> int:
    return bool(sequence) + sum(a.key != b.key for a, b in pairwise(sequence))


def _sequence(jobs: Sequence[Job], wide_first: bool) -> list[Job]:
    """An order in which nothing is cut before what it is cut from; whole settings at once where that can be."""
    open_ = _Open(jobs)
    last: Key | None = None
    while open_.ready:
        last = open_.next_key(last, wide_first)
        # Twins of one setting may free each other: a strip is cut to equal lengths one after the other.
        while last in open_.ready:
            open_.make(last)
    return [jobs[number] for number in open_.made]


class _Open:
    """The cuts that are not made yet, by their number; kept up with every cut, for there may be thousands."""

    def __init__(self, jobs: Sequence[Job]) -> None:
        self._jobs = jobs
        self.made: list[int] = []
        numbers = {id(job): number for number, job in enumerate(jobs)}
        self._frees: list[list[int]] = [[] for _ in jobs]
        self.ready: dict[Key, list[int]] = {}
        """By setting, those that could be made now."""
        self._counts = Counter(job.key for job in jobs)
        self._waiting: Counter[Key] = Counter()
        """How many of a setting wait for a cut of another one."""
        self._waits = [_waits_for_another(job) for job in jobs]
        for number, job in enumerate(jobs):
            self._waiting[job.key] += self._waits[number]
            if job.before is None:
                self.ready.setdefault(job.key, []).append(number)
            else:
                self._frees[numbers[id(job.before)]].append(number)

    def make(self, key: Key) -> None:
        """Make what is ready of a setting, in turn."""
        batch = sorted(self.ready.pop(key))
        self.made += batch
        self._counts[key] -= len(batch)
        for number in batch:
            for freed in self._frees[number]:
                self.ready.setdefault(self._jobs[freed].key, []).append(freed)
                self._no_longer_waits(freed)

    def _no_longer_waits(self, number: int) -> None:
        """Neither it nor what follows it at the same setting waits for another setting."""
        todo = [number]
        while todo:
            one = todo.pop()
            key = self._jobs[one].key
            self._waiting[key] -= self._waits[one]
            self._waits[one] = False
            todo += [after for after in self._frees[one] if self._jobs[after].key == key]

    def next_key(self, last: Key | None, wide_first: bool) -> Key:
        """The setting to make next: one that need not be made again, of the same kind as before, with the most cuts."""

        def rank(key: Key) -> tuple[bool, bool, bool, bool, bool, int, int]:
            knife, axis, fence, trim = key
            count = self._counts[key]
            other_kind = axis != ("y" if last is None or last[3] else last[1])
            by_size = (-fence, -count) if wide_first or axis == "x" else (-count, -fence)
            return (knife, self._waiting[key] > 0, not (trim and axis == "y"), other_kind, not trim, *by_size)

        return min(self.ready, key=rank)


def _waits_for_another(job: Job) -> bool:
    """Whether a cut of another setting must be made before this one."""
    step = job.before
    while step is not None:
        if step.key != job.key:
            return True
        step = step.before
    return False


def _jobs(piece: Piece, root: Node, rules: Rules) -> Iterator[Job]:
    """The cuts of one piece, those of the reference side first; strips and leftovers get their names here."""
    knife = not rules.kerf_of(piece)
    strips, rests = count(1), count(1)

    def name(node: Node | None) -> tuple[str, bool]:
        if node is None:
            return "", False
        if node.part:
            return node.part, True
        if node.axis:
            return (f"{piece.code} strip {_letter(next(strips))}", True)
        keep = keeps_any(node.box, piece, rules)
        return (f"{piece.code}{_letter(next(rests) + 1).lower()}", True) if keep else ("", False)

    waiting: list[tuple[Node | None, str, Job | None]] = [(root, piece.code, None)]
    while waiting:
        node, source, before = waiting.pop()
        if node is None or not node.axis:
            continue
        if node.trim:
            keep = node.rest.part or source if node.rest is not None else source
            job = Job(piece, node, source, keep, "", True, False, before, knife)
            waiting.append((node.rest, keep, job))
        else:
            keep, keep_later = name(_under_trim(node.first))
            rest, rest_later = name(_under_trim(node.rest))
            job = Job(piece, node, source, keep, rest, keep_later, rest_later, before, knife)
            waiting += [(node.rest, rest, job), (node.first, keep, job)]
        yield job


def _under_trim(node: Node | None) -> Node | None:
    """What a strip is once its end is squared."""
    while node is not None and node.trim:
        node = node.rest
    return node


def _letter(number: int) -> str:
    """1 is A, 26 is Z, 27 is AA."""
    letters = ""
    while number:
        number, digit = divmod(number - 1, 26)
        letters = chr(65 + digit) + letters
    return letters


def _cut(job: Job, order: int, setting: int, rules: Rules) -> Cut:
    node, piece = job.node, job.piece
    along = node.axis == "x"
    start = node.box.x if along else node.box.y
    size = piece.length if along else piece.width
    end = start + node.at + (0 if node.trim else rules.kerf_of(piece))
    return Cut(
        piece=piece.code,
        order=order,
        axis=node.axis,
        fence=node.at,
        setting=setting,
        cut_from=job.source,
        keep=job.keep,
        rest=job.rest,
        used=min(size, end),
        of=size,
        trim=node.trim,
        warning=_warning(job, rules),
    )


def _warning(job: Job, rules: Rules) -> str:
    """Why a cut is not for the table saw, with the safer way; a knife or shears need no such word."""
    node, piece = job.node, job.piece
    if not rules.kerf_of(piece):
        return ""
    box = node.box
    if node.axis == "y":
        if box.length < SHORT_RIP:
            return (
                f"{_mm(box.length)} is too short to rip on the table saw (under 300 mm): hand saw, or rip it with a "
                "longer piece before it is crosscut."
            )
        return ""
    kept = node.at if job.keep_later and not node.trim else None
    beyond = box.length - node.at - (0 if node.trim else rules.kerf_of(piece))
    short = [v for v in (box.length, kept, beyond if job.rest_later or node.trim else None) if v is not None]
    if short and min(short) < SHORT_CROSSCUT:
        return (
            f"{_mm(max(0, min(short)))} is too short to crosscut on the table saw (under 150 mm): hand saw and bench "
            "hook, or a sled with a hold-down."
        )
    return ""


def _mm(ticks: int) -> str:
    from logbook.model.measures import Length

    return f"{Length.from_ticks(ticks).in_mm()} mm"
