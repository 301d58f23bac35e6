"""Rules about what is here and what is not: bill, reassembly list, checks, work."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime

from logbook.errors import InputError
from logbook.model.component_state import WORK
from logbook.model.dangers import is_electrical
from logbook.model.proofs import with_proof
from logbook.model.step import Proof
from logbook.model.unit import Unit
from logbook.model.words import Disposition, Stage, Supply
from logbook.reassembly import tick
from tests.agreement.rules import of_unit
from tests.agreement.views import UnitViews, Values

GOING_ON = (Stage.TEARDOWN, Stage.REBUILD, Stage.REASSEMBLY)


def missing_at(unit: UnitViews) -> dict[str, list[str]]:
    """For each line of the list what it says is missing at itself."""
    return {line["key"]: line["readiness"]["missing"] for line in unit.list["lines"] if not line["readiness"]["done"]}


@of_unit("A new fastener that the list has here is here on the bill, and the other way about.")
def fasteners_here_alike(unit: UnitViews) -> Iterator[str]:
    groups = [x for x in unit.bill["lines"] if x["group"] == "fasteners"]
    for line in unit.list["lines"]:
        for fastener in line["fasteners"]:
            if not fastener["new"] or line["readiness"]["done"]:
                continue
            kind, steps = fastener["kind"].casefold(), set(line["steps"])
            of_kind = [x for x in groups if kind in x["how"].casefold() or x["name"].casefold() == kind]
            of_step = [x for x in of_kind if steps.intersection(x["used_in"])]
            if of_step and fastener["here"] and not any(x["here"] for x in of_step):
                yield f"{line['number']} has {kind} here, the bill has it to get"
            if of_step and not fastener["here"] and all(x["here"] for x in of_step):
                yield f"{line['number']} lacks {kind}, the bill has it here"


@of_unit("A part that a line of the list waits for is to get on the bill.")
def missing_parts_are_to_get(unit: UnitViews) -> Iterator[str]:
    here = {x["code"] for x in unit.bill["lines"] if x["here"] and x["code"]}
    codes = {p.code: p for p in unit.unit.parts}
    for line, sentences in missing_at(unit).items():
        for code, part in codes.items():
            name = part.name if part.name.lower().startswith("new ") else f"new {part.name}"
            said = any(s.startswith(f"{name} not here") for s in sentences)
            if said and (part.supply is Supply.HERE and code in here):
                yield f"{line}: {name} not here, the bill has it here"


@of_unit("What the list lacks check 8 names, and check 8 names nothing that the list has.")
def check_names_what_the_list_lacks(unit: UnitViews) -> Iterator[str]:
    if unit.unit.stage not in GOING_ON:
        return
    told = {p.place for p in unit.problems if p.check == 8}
    lacking = set()
    for line in unit.list["lines"]:
        words = " ".join(missing_at(unit).get(line["key"], ()))
        if "not here" in words or "no part is written down" in words:
            lacking.add(line["steps"][0] if line["steps"] else line["key"])
    if told != lacking:
        yield f"check {sorted(told - lacking)}, list {sorted(lacking - told)}"


@of_unit("What the checks say cannot go back yet has come off.")
def what_goes_back_came_off(unit: UnitViews) -> Iterator[str]:
    for problem in unit.problems:
        step = unit.unit.step(problem.place) if problem.check == 8 else None
        if step is not None and step.planned:
            yield f"{problem.place} is still to come off: {problem.sentence}"


@of_unit("A component with nothing to take its place is asked for on the list and wanted on the bill.")
def replaced_components_are_asked(unit: UnitViews) -> Iterator[str]:
    wanted = {x["code"] for x in unit.bill["lines"] if x["group"].startswith("components") and not x["here"]}
    asked = " ".join(s for sentences in missing_at(unit).values() for s in sentences)
    lines = {code for line in unit.list["lines"] for code in line["steps"]}
    for component in unit.unit.components:
        on_list = component.from_step in lines and any(
            component.from_step in line["steps"] and not line["readiness"]["done"] for line in unit.list["lines"]
        )
        said = f"{component.name} is to be renewed" in asked or f"{component.name} does not go back" in asked
        if on_list and said != (component.code in wanted):
            yield f"{component.code} {component.name}: asked {said}, on the bill {component.code in wanted}"


@of_unit("A repair, cleaning or test that is open on the list is open in the work, and a done one in neither.")
def open_work_is_open_everywhere(unit: UnitViews) -> Iterator[str]:
    if unit.unit.stage not in GOING_ON:
        return
    asked = " ".join(s for sentences in missing_at(unit).values() for s in sentences)
    stands = {code for o in unit.unit.operations for code in (o.code, *o.stands_for) if o.state != "done"}
    offered = {line["code"] for line in unit.cost["comparison"]["hours"]["lines"]} | stands
    for component in unit.unit.components:
        if component.disposition not in (Disposition.REPAIR, Disposition.CLEAN):
            continue
        open_on_list = f"{WORK[component.disposition]} of {component.name} not done" in asked
        open_as_work = f"C-{component.code}" in offered | unit.asked
        if open_on_list and not open_as_work:
            yield f"{component.code} {component.name} is open on the list, and no work is there for it"


@of_unit("A component that is to be tested is tested on the list when it is tested in what now.")
def tests_are_open_alike(unit: UnitViews) -> Iterator[str]:
    if unit.unit.stage not in GOING_ON:
        return
    asked = " ".join(s for sentences in missing_at(unit).values() for s in sentences)
    now = {item["code"] for item in unit.book.now_view["now"] if item["unit"] == unit.code and item["kind"] == "test"}
    named = " ".join(t.what.casefold() for t in unit.unit.arrival.make_or_break)
    for component in unit.unit.components:
        if component.disposition is not Disposition.TEST or component.name.casefold() in named:
            continue
        open_on_list = f"test of {component.name} not done" in asked
        if open_on_list and (component.code not in now and len(unit.book.now_view["now"]) < 40):
            yield f"the list waits for the test of {component.name}, what now does not have it"
        if component.repaired and component.code in now:
            yield f"{component.name} is done, what now still tests it"


def open_ticks(unit: UnitViews, line: Values) -> list[str]:
    """The ticks of a line that are not made, of a set each member's own."""
    of = unit.listed.by_key[line["key"]]
    made = {state.line for state in unit.unit.refit.lines if state.done}
    return [key for key in of.tick_keys if key not in made]


def refusal(of: Unit, key: str, unit: UnitViews, at: datetime) -> str:
    """Why a tick is refused; empty when it is made."""
    try:
        tick(of, key, at=at, initials="AB", lst=unit.listed)
    except InputError as error:
        return str(error)
    return ""


@of_unit("A line that is called ready can be ticked as soon as its dangers are proved safe.")
def ready_lines_tick(unit: UnitViews) -> Iterator[str]:
    for line in unit.list["lines"]:
        if not line["readiness"]["ready"] or line["holds"]:
            continue
        safe, now = unit.unit, unit.book.moment
        for danger in unit.listed.by_key[line["key"]].hazards:
            reading = "0.2 V" if is_electrical(danger.what) else "checked"
            safe = with_proof(safe, Proof(danger=danger.what, reading=reading, at=now))
        refused = refusal(safe, line["key"], unit, now)
        if refused and not line["readiness"]["waits"]:
            yield f"{line['number']}: {refused}"
        if line["readiness"]["waits"] and all(refusal(safe, key, unit, now) for key in open_ticks(unit, line)):
            yield f"{line['number']}: no member of it goes on"


@of_unit("A line that is not called ready is refused without a reason.")
def others_are_refused(unit: UnitViews) -> Iterator[str]:
    for line in unit.list["lines"]:
        if line["readiness"]["ready"] or line["readiness"]["done"] or line["holds"]:
            continue
        keys = (line["key"], *open_ticks(unit, line)[:1])
        if not all(refusal(unit.unit, key, unit, unit.book.moment) for key in dict.fromkeys(keys)):
            yield f"{line['number']} {line['title']} can be ticked; the list says {line['readiness']['reasons']}"


@of_unit("The lines done, and in all, are those of the sentence above the list.")
def standing_counts_lines(unit: UnitViews) -> Iterator[str]:
    done = sum(line["readiness"]["done"] for line in unit.list["lines"])
    standing = unit.list["standing"]
    if (standing["done"], standing["total"]) != (done, len(unit.list["lines"])):
        yield f"standing {standing['done']} of {standing['total']}, lines {done} of {len(unit.list['lines'])}"


@of_unit("A line that can be done now is in reach.")
def ready_is_in_reach(unit: UnitViews) -> Iterator[str]:
    for line in unit.list["lines"]:
        if line["readiness"]["ready"] and not line["readiness"]["in_reach"]:
            yield line["number"]


@of_unit("The lines of the printed list are those of its values.")
def printed_list_has_every_line(unit: UnitViews) -> Iterator[str]:
    for line in unit.list["lines"]:
        if line["number"] not in unit.list_text:
            yield line["number"]


@of_unit("A panel, leaf or strip that the pile has enough of costs nothing; what it lacks has no price.")
def material_is_here_or_unknown(unit: UnitViews) -> Iterator[str]:
    for line in unit.bill["lines"]:
        if line["group"] in ("panels", "veneer", "strips and blocks"):
            free = line["price"] is not None
            bought = "bought as" in line["how"]
            if not bought and line["here"] != free:
                yield f"{line['name']}: here {line['here']}, price {line['price']}"


@of_unit("What is to buy of material is what the bill lacks of it.")
def material_to_buy_is_lacking(unit: UnitViews) -> Iterator[str]:
    if unit.unit.stage not in GOING_ON:
        return
    material = [x for x in unit.bill["lines"] if x["group"] in ("panels", "veneer", "strips and blocks")]
    lacking = {x["name"] for x in material if not x["here"]}
    bought = {p["name"] for parcel in unit.to_buy["parcels"] for p in parcel["purchases"] if p["kind"] == "material"}
    if lacking != bought:
        yield f"bill {sorted(lacking)}, to buy {sorted(bought)}"


@of_unit("A part that is here is not to buy.")
def what_is_here_is_not_bought(unit: UnitViews) -> Iterator[str]:
    here = {p.code for p in unit.unit.parts if p.supply is Supply.HERE}
    for parcel in unit.to_buy["parcels"]:
        for purchase in parcel["purchases"]:
            if purchase["kind"] == "part" and here.intersection(s["code"] for s in purchase["shares"]):
                yield purchase["name"]


@of_unit("A part that is not here is to get or to fetch on the bill and on the list of what is to buy.")
def what_is_not_here_is_got(unit: UnitViews) -> Iterator[str]:
    if unit.unit.stage not in GOING_ON:
        return
    lines = {x["code"]: x for x in unit.bill["lines"]}
    bought = {s["code"] for parcel in unit.to_buy["parcels"] for p in parcel["purchases"] for s in p["shares"]}
    for part in unit.unit.parts:
        line = lines.get(part.code)
        if line is None:
            yield f"{part.code} is not on the bill"
        elif not line["here"] and part.code not in bought:
            yield f"{part.code} {part.name} is to get, and nobody buys it"


@of_unit("What a purchase frees are lines of the list that are not done, or open operations.")
def freed_lines_are_open(unit: UnitViews) -> Iterator[str]:
    open_lines = {line["number"] for line in unit.list["lines"] if not line["readiness"]["done"]}
    open_work = {o.code for o in unit.unit.operations if o.state != "done"}
    for parcel in unit.to_buy["parcels"]:
        for purchase in parcel["purchases"]:
            for freed in purchase["frees"]:
                unknown = [x for x in freed["lines"] if x not in open_lines | open_work]
                if unknown:
                    yield f"{purchase['name']} frees {unknown}"


@of_unit("Material of which a kept layout leaves a part without a place is to buy in every view, and not here.")
def a_kept_layout_decides(unit: UnitViews) -> Iterator[str]:
    for kept in unit.unit.layouts:
        left_out = {part.part for part in kept.left_out}
        lines = [x for x in unit.bill["lines"] if left_out.intersection(x["used_in"])]
        bought = {p["name"] for parcel in unit.to_buy["parcels"] for p in parcel["purchases"]}
        for line in lines if unit.unit.stage in GOING_ON else ():
            if not line["group"].startswith(kept.what):
                continue
            if line["here"]:
                yield f"{line['name']} is here on the bill, {sorted(left_out)} without a place"
            if line["name"] not in bought:
                yield f"{line['name']} is not to buy, {sorted(left_out)} without a place"
            unpriced = [*unit.cost["comparison"]["cash"]["unpriced"], *unit.cost["comparison"]["cash"]["not_counted"]]
            if line["price"] is None and not any(line["name"] in said for said in unpriced):
                yield f"the cash says nothing of {line['name']}"


@of_unit("“ready” is said of lines that can be ticked; lines that wait for others alone are “in reach”.")
def ready_is_one_word(unit: UnitViews) -> Iterator[str]:
    lines = [line["readiness"] for line in unit.list["lines"]]
    ready = sum(line["ready"] for line in lines)
    in_reach = sum(line["in_reach"] and not line["done"] for line in lines)
    sentence = unit.list["standing"]["sentence"]
    said = re.search(r"(\d+) (?:of \d+ lines|more) (?:is|are) (ready|in reach)", sentence)
    if said and int(said[1]) != (ready if said[2] == "ready" else in_reach):
        yield f"{sentence} {ready} ready, {in_reach} in reach"
    if unit.unit.stage in GOING_ON and unit.list["standing"]["in_reach"] != in_reach:
        yield f"in reach {unit.list['standing']['in_reach']}, lines {in_reach}"
    if ready > in_reach:
        yield f"{ready} ready of {in_reach} in reach"
