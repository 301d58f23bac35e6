"""What goes on first as a whole: a step whose one thing is put on at the joint of another, and nothing else is done.

A grommet that came off before the cord and goes on it before the cord is soldered has its line there. A second
line of its own would have a fitter look for a second grommet.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from logbook.model.precedence import HARD
from logbook.model.step import Relation, Step
from logbook.model.unit import Unit
from logbook.model.words import RelationKind

_SAID_AT_THE_JOINT = frozenset({
    "code", "what", "action", "no_fasteners", "note", "unread", "box", "hazards", "orientation", "marks",
    "held_by", "at", "by", "minutes", "order", "each_of", "viewed_from", "in_the_way", "photo_taken", "proofs",
})  # fmt: skip
"""Fields of a step that its line at the other's joint says as well, or that say nothing of the way back."""


def whole_of(relation: Relation) -> bool:
    """Whether the whole of a step's thing is threaded on before a joint, not some items of it."""
    return relation.kind is RelationKind.THREADED and not relation.items.strip()


def on_first_alone(unit: Unit, refit_order: Iterable[str]) -> Mapping[str, str]:
    """Steps that have no line but the one before another's joint, each with the step of that joint.

    Only where the step would else come later, is done by nothing but putting it on, and is bound by nothing.
    """
    place = {code: i for i, code in enumerate(refit_order)}
    bound = {r.earlier for r in unit.relations if r.kind in HARD or r.kind is RelationKind.TOGETHER}
    bound |= {r.later for r in unit.relations if r.kind not in (RelationKind.MUST, RelationKind.BETTER)}
    bound |= {c.from_step for c in unit.components} | {code for p in unit.parts for code in p.for_steps}
    bound |= {s.came_out_at for s in unit.sub_assemblies}
    found: dict[str, str] = {}
    for relation in filter(whole_of, unit.relations):
        step, joint = unit.step(relation.earlier), unit.step(relation.later)
        if step is None or joint is None or step.code in bound or step.code in found:
            continue
        same_set = step.each_of == joint.each_of
        if same_set and place[joint.code] < place[step.code] and _is_only_put_on(step):
            found[step.code] = joint.code
    return found


def _is_only_put_on(step: Step) -> bool:
    blank = Step(code=step.code, what=step.what)
    return all(getattr(step, name) == getattr(blank, name) for name in _MORE)


_MORE = tuple(name for name in Step.model_fields if name not in _SAID_AT_THE_JOINT)
