"""Which fields of a record are usually filled: a form shows these first, and a line of plain words is tried on them.

A record that is not named here shows what it needs and its first other fields. The order counts: a word or a figure
without a label goes to the first field that takes it (`logbook.model.one_line`).
"""

from __future__ import annotations

import functools
import re

from logbook.model.base import Frozen
from logbook.model.fields import Field, FieldKind, offered_fields

_USUAL = {
    "Unit": "code name stage next_action due hazards steps components parts case operations waiting photos notes",
    "Arrival": "as_found origin arrived_at object_class size questions tests make_or_break note",
    "Question": "what answer",
    "TestResult": "what result passed at",
    "MakeOrBreak": "what minutes stop_if passed",
    "Hazard": "what signal do prove",
    "Step": "code what action fasteners bag box hazards one_way connections measurements photos note",
    "PictureMark": "kind x y text",
    "Photo": "file caption kind taken_at card",
    "Attachment": "file what",
    "FastenerDetail": "diameter length head drive left_hand finish note",
    "Fastener": "kind holes found then bag piece detail",
    "NewFastener": "kind count why here",
    "Connection": "code colour start end kind joint labels",
    "Setting": "what length value how",
    "Measurement": "what value again text tolerance",
    "MapPosition": "number where kind x y",
    "HoldPoint": "code what reading_of limit competent",
    "Remake": "method material busy clamp cure hold",
    "OneWay": "joint drilled measured traced photographed pattern_kept held_twice remake rebuilt_by",
    "RefitNotes": "text first new_fasteners renew sequence adjust test hold",
    "MemberDifference": "member bag note fasteners",
    "Disposal": "where on",
    "Relation": "kind earlier later why",
    "Member": "code position state note",
    "PartSet": "code name kind members interchangeable whole_unit",
    "SubAssembly": "code name came_out_at",
    "Component": "code name quantity condition disposition where_kept from_step price_to_replace tests photos note",
    "Part": "code name quantity unit price source supply seller for_steps only_if expected_on note",
    "HeldDimension": "code what kind value plus minus along between readings at_least datum why",
    "Position": "x y",
    "Size": "length width",
    "Case": "plan panels strips fittings stacks materials kerf datum notes",
    "Panel": "code name layers quantity grain joints grooves openings banded leaves role finish note",
    "Layer": "material thickness piece",
    "PanelJoint": "end kind depth width slack face",
    "Groove": "takes depth width set_in rabbet",
    "Leaf": "material thickness size show",
    "Opening": "what centre diameter size radius recess counterbore face pattern",
    "Strip": "code name quantity length material wide thick on edges piece note",
    "Material": "name per_m2 per_m waste_percent",
    "CasePlan": "top bottom front front_set_back back back_set_in band sanding rails",
    "CornerJoint": "kind depth inset slack short",
    "HangingRails": "board thickness length material let_in",
    "Fitting": "code what centre diameter size near far gap face component",
    "StackPart": "what thickness quantity",
    "StackUp": "code what kind length panel parts need let_in",
    "Operation": "code name effort after wait needs traits times state for_steps note",
    "Wait": "earliest latest what clamped after_sanding",
    "Needs": "clamps press bench finishing_place helper quiet tools parts",
    "UseTerm": "amount measure per rate coverage times what source",
    "MixShare": "consumable parts price",
    "ConsumableUse": "code consumable unit price terms seller note",
    "CostLine": "code name price seller parcel only_if chance_percent note",
    "Spent": "what amount minutes on",
    "SaleLine": "what price",
    "Comparator": "code kind what price delivery ready risk sales",
    "StopLine": "amount why",
    "Waiting": "what expected chase since done",
    "Tool": "name number length",
    "Consumable": "name stock unit pack place opened_on keeps_months note",
    "Pack": "size price seller",
    "Seller": "name shipping days free_from note",
    "FreeTime": "weekday on start minutes helper",
    "ShopSettings": "currency rate fair_rate kerf trim thickness_tolerance delivery_days time_zone",
    "UsualWork": "name effort wait between needs traits words note",
    "OrderRule": "code kind first second why reach minutes",
    "Defect": "x y length width what",
    "Offcut": "code material length width thickness place grain kind reserved_for since note",
}
"""Names of the usual fields by kind of record, in the order in which they are filled."""
_USUAL_COUNT = 8
"""So many fields of a record that is not named above."""


@functools.cache
def usual_fields(kind: type[Frozen]) -> tuple[Field, ...]:
    """The fields of a kind of record that are usually filled, in their order; what is needed is always among them."""
    offered = {f.name: f for f in offered_fields(kind)}
    named = _USUAL.get(kind.__name__, "").split()
    if not named:
        named = [f.name for f in offered.values() if f.required]
        others = [f.name for f in offered.values() if not f.required]
        named += others[: max(0, _USUAL_COUNT - len(named))]
    unnamed = [f.name for f in offered.values() if f.required and f.name not in named]
    return tuple(offered[name] for name in (*unnamed, *named) if name in offered)


@functools.cache
def leading_fields(kind: type[Frozen]) -> tuple[Field, ...]:
    """What the first words of a line are for: what is needed besides the code, else the code, else the first words.

    A code numbers itself; only where it is all that is needed and stands first in use, as of one of a set, is it said.
    """
    needed = tuple(f for f in offered_fields(kind) if f.required and f.name != "code")
    if needed:
        return needed
    usual = usual_fields(kind)
    if kind.__name__ in _CALLED_BY_CODE:
        return tuple(f for f in usual if f.name == "code")
    words = tuple(f for f in usual if f.kind is FieldKind.TEXT and f.name != "code")
    return words[:1] or usual[:1]


_CALLED_BY_CODE = frozenset({"Member"})
"""Kinds of things whose code is their name: “left”, “D2”."""


def first_shown(kind: type[Frozen], said: frozenset[str]) -> tuple[tuple[Field, ...], tuple[Field, ...]]:
    """The fields that a form shows at once, and those that stand under “more”.

    Args:
        kind: the kind of record.
        said: names of the fields that hold something; they are shown at once, too.
    """
    usual = usual_fields(kind)
    offered = offered_fields(kind)
    first = (*usual, *(f for f in offered if f not in usual and f.name in said))
    rest = tuple(f for f in offered if f not in first)
    if len(rest) == 1:  # one row more is no longer than the row that says there is more
        return (*first, *rest), ()
    return first, rest


_QUOTED = re.compile(r"“([^”]+)”")
_EXAMPLES = {
    FieldKind.COUNT: "2",
    FieldKind.MINUTES: "20 min",
    FieldKind.MONEY: "4.95",
    FieldKind.NUMBER: "0.75",
    FieldKind.LENGTH: "480",
    FieldKind.LENGTHS: "11.8",
    FieldKind.ESTIMATE: "4.95",
    FieldKind.EFFORT: "20 min",
    FieldKind.MOMENT: "12 Mar 20:41",
    FieldKind.DATE: "12 Mar",
    FieldKind.CLOCK: "18:00",
    FieldKind.WEEKDAY: "Tue",
    FieldKind.CURRENCY: "EUR",
}


def example_value(field: Field) -> str:
    """What could be typed for a field: the first words in quotes of its help, else something of its kind."""
    if field.kind is FieldKind.CHOICE:
        return str(field.default or next(c for c in field.choices if "," not in c))
    quoted = _QUOTED.search(field.help)
    if quoted is not None:
        return quoted[1]
    if field.record is not None:
        return example_of(field.record)
    return _EXAMPLES.get(field.kind, "")


_BETTER_EXAMPLES = {
    "Offcut": "12 ply, 980 x 260, 11.8 11.9 11.8, grain length",
    "Consumable": "PVA glue, 250 ml, shelf 2, keeps months 12",
    "Fastener": "4/3 rh wood screw 3.5x16, bag 7",
    "Opening": "volume shaft, 120 x 80, diameter 10",
}
"""Where the first fields together are no good example: what has a line of its own (`logbook.layout.pile_line`,
`logbook.teardown.new_fastener`, `logbook.model.shelf_line`), and where one excludes another."""
_MOST_LETTERS = 46
"""An example stands in grey in a line of 60 columns."""


@functools.cache
def example_of(kind: type[Frozen]) -> str:
    """A line that would make a record of this kind, from the examples of its fields."""
    if kind.__name__ in _BETTER_EXAMPLES:
        return _BETTER_EXAMPLES[kind.__name__]
    leads = leading_fields(kind)
    usual = usual_fields(kind)
    figures = len(leads) > 1 and all(f.kind is not FieldKind.TEXT for f in leads)
    if figures:
        words = " ".join(example_value(f) for f in usual if f in leads or f.kind is FieldKind.WEEKDAY)
        parts = [words]
    else:
        parts = [example_value(f) for f in leads]
    for field in usual:
        if field in leads or field.name == "code" or field.kind is FieldKind.CHOICE:
            continue
        more = _said(field)
        if figures or not more or len(", ".join((*parts, more))) > _MOST_LETTERS or len(parts) > len(leads) + 1:
            continue
        parts.append(more)
    return ", ".join(parts)


def _said(field: Field) -> str:
    """A field as a phrase with its label."""
    if field.kind is FieldKind.FLAG or (field.kind is FieldKind.COUNT and field.default):
        return ""
    if field.record is not None:
        quoted = _QUOTED.search(field.help)
        if quoted is None:
            return ""
        return quoted[1] if field.kind is FieldKind.RECORDS else f"{field.label} {quoted[1]}"
    words = example_value(field)
    return f"{field.label} {words}" if words else ""
