"""Adding to and taking out of any list of a unit or of the shop; steps and relations with what hangs on them.

What a typed entry must not do to a unit is refused here: name a step, set or operation that does not exist, or close
a circle in the order, or take something off past an open hold point.
"""

from __future__ import annotations

import re
from typing import TypeVar

from logbook.errors import InputError
from logbook.model.base import Frozen
from logbook.model.document import structure_problems
from logbook.model.edits import drop_step, keep_step, relate, unrelate
from logbook.model.holds import open_holds, refuse_past_open_hold
from logbook.model.paths import Path, added_at, removed_at, value_at
from logbook.model.replacements import serves, uses_without_part
from logbook.model.same_words import same_words
from logbook.model.step import Relation, Step
from logbook.model.unit import Unit
from logbook.model.work import Part

R = TypeVar("R", bound=Frozen)

_WOVEN = frozenset({"steps", "relations", "sets", "sub_assemblies", "operations"})
"""What of a unit names other things of it."""
_PLACE = re.compile(r"^unit\.\S*?(?:\.(\w+))?(?:\[\d+\])?:? (?=names|says)")


def added(root: Frozen, path: Path, item: Frozen) -> Frozen:
    """The unit or the shop with `item` at the end of the list at `path`.

    Raises:
        InputError: its code is taken, it names what does not exist, it closes a circle, or it is a step that comes
            off past an open hold point.
    """
    if isinstance(root, Unit) and path == ("steps",) and isinstance(item, Step):
        refuse_past_open_hold(root, item)
        return keep_step(root, item)
    if isinstance(root, Unit) and path == ("relations",) and isinstance(item, Relation):
        return relate(root, item)
    if isinstance(root, Unit) and path == ("parts",) and isinstance(item, Part):
        item = for_its_fastener(root, item)
    return sound(root, added_at(root, path, item), path)


def for_its_fastener(unit: Unit, part: Part) -> Part:
    """The part as the new fastener that it is called like, where its steps take one that no part stands for.

    Both are one thing, wanted once and priced once; without this a bush that is bought would stand beside the bush
    that the step asks for.
    """
    if part.fastener.strip() or part.for_components or part.member:
        return part
    uses = uses_without_part(unit).get(same_words(part.name), [])
    waiting = [use for use in uses if serves(part, use.step)]
    return part.model_copy(update={"fastener": waiting[0].kind}) if waiting else part


def removed(root: Frozen, path: Path) -> Frozen:
    """The unit or the shop without the list item at `path`. Raises InputError when something else names it."""
    if isinstance(root, Unit) and path[:-1] == ("steps",) and isinstance(path[-1], str):
        return drop_step(root, path[-1])
    if isinstance(root, Unit) and path[:-1] == ("relations",):
        relation = value_at(root, path)
        return unrelate(root, relation)
    return sound(root, removed_at(root, path), path)


def sound(before: R, after: R, path: Path) -> R:
    """`after`, when it does not contradict itself where `before` did not. Raises InputError with what is wrong."""
    if not isinstance(before, Unit) or not isinstance(after, Unit) or not path or path[0] not in _WOVEN:
        return after
    if path[0] == "steps" and open_holds(before):
        for step in after.steps:
            refuse_past_open_hold(before, step)
    known = {as_sentence(problem) for problem in structure_problems(before)}
    for problem in structure_problems(after):
        if as_sentence(problem) not in known:
            raise InputError(as_sentence(problem))
    return after


def as_sentence(problem: str) -> str:
    """A contradiction as a person reads it, without the way into the document."""
    found = _PLACE.match(problem)
    if found is None:
        return problem
    named = f"“{found[1].replace('_', ' ')}” " if found[1] else "It "
    return named + problem[found.end() :]
