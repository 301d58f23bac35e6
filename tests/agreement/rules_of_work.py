# ruff: noqa: SIM102 - of what a rule speaks, and what it asks of it, stand on a line each
"""Rules about work: costs, work, what now and plan count the same hours of the same pieces of work."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from datetime import datetime, timedelta
from fractions import Fraction

from logbook.model.step import Step
from logbook.model.words import Stage, WorkState
from logbook.model.work import Operation
from logbook.planning.plan_check import faults
from tests.agreement.rules import of_book, of_unit
from tests.agreement.views import BookViews, UnitViews

GOING_ON = (Stage.TEARDOWN, Stage.REBUILD, Stage.REASSEMBLY)


def planned(unit: UnitViews) -> Counter[str]:
    """Minutes of open work that the plan has for each code, done work left out."""
    found: Counter[str] = Counter()
    for entry in unit.book.plan["entries"]:
        if entry["unit"] == unit.code and entry["kind"] in ("operation", "proposed"):
            found[entry["code"]] += entry["minutes"]
    return found


def without_place(unit: UnitViews) -> list[str]:
    """Codes of the unit's work that has no place in the plan."""
    return [x["code"] for x in unit.book.plan["unplanned"] if x["unit"] == unit.code]


@of_unit("The hours to come are those of every piece of work that is not done, written down or following.")
def hours_are_the_open_work(unit: UnitViews) -> Iterator[str]:
    lines = unit.cost["comparison"]["hours"]["lines"]
    recorded = {line["code"] for line in lines if not line["proposed"]}
    open_codes = {o.code for o in unit.unit.operations if o.state is not WorkState.DONE}
    if recorded != open_codes:
        yield f"hours {sorted(recorded - open_codes)}, operations {sorted(open_codes - recorded)}"


@of_unit("What the plan has of a piece of work takes the minutes that the hours to come say.")
def plan_takes_the_hours(unit: UnitViews) -> Iterator[str]:
    if unit.unit.stage not in GOING_ON:
        return
    minutes = planned(unit)
    lacking = set(without_place(unit))
    done_twice = {o.code for o in unit.unit.operations if o.times > 1 or o.started_at is not None}
    for line in unit.cost["comparison"]["hours"]["lines"]:
        if line["effort"] is None or line["code"] in lacking | done_twice:
            continue
        if minutes[line["code"]] != max(1, line["effort"]["likely"]):
            yield f"{line['code']}: hours {line['effort']['likely']}, plan {minutes[line['code']]}"


@of_unit("Work of several times, such as coats, takes in the plan what the hours to come say.")
def plan_takes_the_coats(unit: UnitViews) -> Iterator[str]:
    if unit.unit.stage not in GOING_ON:
        return
    minutes, lacking = planned(unit), set(without_place(unit))
    coats = {o.code for o in unit.unit.operations if o.times > 1 and o.started_at is None}
    for line in unit.cost["comparison"]["hours"]["lines"]:
        if line["code"] in coats - lacking and line["effort"] is not None:
            if minutes[line["code"]] != line["effort"]["likely"]:
                yield f"{line['code']}: hours {line['effort']['likely']}, plan {minutes[line['code']]}"


@of_unit("Every piece of work of the hours to come is in the plan, or has no place there and says why.")
def plan_has_all_the_work(unit: UnitViews) -> Iterator[str]:
    if unit.unit.stage not in GOING_ON:
        return
    there = {*planned(unit), *without_place(unit)}
    running = {o.code for o in unit.unit.operations if o.started_at is not None}
    for line in unit.cost["comparison"]["hours"]["lines"]:
        if line["code"] not in there | running:
            yield f"{line['code']} {line['name']}"


@of_unit("The sum of the hours is that of the lines above it.")
def hours_add_up(unit: UnitViews) -> Iterator[str]:
    found = unit.cost["comparison"]["hours"]
    if found["likely"] is None:
        return
    likely = sum(x["effort"]["likely"] for x in found["lines"] if x["effort"] is not None)
    if likely != found["likely"]:
        yield f"lines {likely}, sum {found['likely']}"


@of_unit("The hours of the decision are the hours to come.")
def decision_has_the_hours(unit: UnitViews) -> Iterator[str]:
    row, found = unit.cost["comparison"]["rows"][0], unit.cost["comparison"]["hours"]
    if row["hours"] is None or found["expected"] is None:
        return
    if Fraction(row["hours"]) * 60 != Fraction(found["expected"]):
        yield f"row {row['hours']} h, hours to come {found['expected']} min"


@of_unit("What a rebuild pays for an hour is its gap over the hours to come.")
def rate_is_gap_over_hours(unit: UnitViews) -> Iterator[str]:
    hours = unit.cost["comparison"]["rows"][0]["hours"]
    for each in unit.cost["comparison"]["break_evens"]:
        if each["rate"] is not None and hours is not None:
            if Fraction(each["rate"]) * Fraction(hours) != Fraction(each["gap"]):
                yield f"{each['code']}: {each['rate']} x {hours} is not {each['gap']}"


@of_unit("A unit whose work has no place has no end.")
def no_end_without_a_place(unit: UnitViews) -> Iterator[str]:
    ends = [e for e in unit.book.plan["ends"] if e["unit"] == unit.code]
    if ends and without_place(unit):
        yield f"ends {ends[0]['end']}, without a place {without_place(unit)}"


@of_book("A plan in which something has no place is not called the best.")
def best_needs_places(book: BookViews) -> Iterator[str]:
    if book.plan["unplanned"] and book.plan["proven_best"]:
        yield f"{len(book.plan['unplanned'])} without a place, proven best"
    if book.plan["unplanned"] and "proven best" in book.plan_text:
        yield "the text says proven best"


@of_book("The plan passes its own checker.")
def plan_passes(book: BookViews) -> Iterator[str]:
    yield from faults(book.made.found.problem, book.made.schedule)


@of_unit("No end lies before the last piece of the unit's work, nor the worst case before the likely one.")
def ends_are_ends(unit: UnitViews) -> Iterator[str]:
    for end in (e for e in unit.book.plan["ends"] if e["unit"] == unit.code):
        last = max((e["end"] for e in unit.book.plan["entries"] if e["unit"] == unit.code), default=end["end"])
        if datetime.fromisoformat(last) > datetime.fromisoformat(end["end"]):
            yield f"ends {end['end']}, works until {last}"


@of_unit("Work behind a make-or-break test that failed has no place, and is not what to do now.")
def failed_tests_block(unit: UnitViews) -> Iterator[str]:
    failed = [t for t in unit.unit.arrival.make_or_break if t.passed is False]
    behind = {code for t in failed for code in t.before.replace(",", " ").split()}
    open_ones = behind & {o.code for o in unit.unit.operations if o.state is not WorkState.DONE}
    for code in open_ones if unit.unit.stage in GOING_ON else ():
        if planned(unit)[code]:
            yield f"{code} is planned"
        if any(i["unit"] == unit.code and i["code"] == code for i in unit.book.now_view["now"]):
            yield f"{code} is in what now"


@of_unit("Work after something that does not exist has no place, and is not what to do now.")
def unknown_work_blocks(unit: UnitViews) -> Iterator[str]:
    codes = {o.code for o in unit.unit.operations} | {x["code"] for x in unit.cost["comparison"]["hours"]["lines"]}
    if unit.unit.stage not in GOING_ON:
        return
    for operation in unit.unit.operations:
        if operation.state is WorkState.DONE or set(operation.after) <= codes or operation.started_at is not None:
            continue
        if planned(unit)[operation.code]:
            yield f"{operation.code} is planned after {operation.after}"


@of_unit("“now” as the day on which it is ready stands only where the list is done.")
def now_means_done(unit: UnitViews) -> Iterator[str]:
    open_lines = [line["number"] for line in unit.list["lines"] if not line["readiness"]["done"]]
    if unit.cost["decision"]["ready"]["words"] == "now" and (open_lines and unit.unit.stage in GOING_ON):
        yield f"ready now, {len(open_lines)} lines are open"


@of_unit("The reassembly follows from the record for as many lines as the list has open, or is written down.")
def reassembly_counts_lines(unit: UnitViews) -> Iterator[str]:
    if unit.unit.stage not in GOING_ON:
        return
    open_lines = sum(not line["readiness"]["done"] for line in unit.list["lines"])
    written = any("A-all" in (o.code, *o.stands_for) for o in unit.unit.operations)
    proposed = [x for x in unit.cost["comparison"]["hours"]["lines"] if x["code"] == "A-all" and x["proposed"]]
    if not written and "A-all" not in unit.asked and bool(proposed) != bool(open_lines):
        yield f"{open_lines} lines are open, proposed {bool(proposed)}"
    if proposed and proposed[0]["effort"]["likely"] != 9 * open_lines:
        yield f"{open_lines} lines at 9 min, proposed {proposed[0]['effort']['likely']}"


@of_unit("No reassembly is planned to begin before the parts that it waits for can be here.")
def reassembly_waits_for_parts(unit: UnitViews) -> Iterator[str]:
    reassembly = {o.code for o in unit.unit.operations if "A-all" in o.stands_for} | {"A-all"}
    entries = [e for e in unit.book.plan["entries"] if e["unit"] == unit.code and e["kind"] != "inserted"]
    starts = [e["start"] for e in entries if e["code"] in reassembly]
    today = unit.book.now.date()
    for part in unit.unit.parts:
        needed = part.for_steps or part.for_components or part.fastener
        if part.supply == "here" or part.only_if or not needed or not starts:
            continue
        comes = part.expected_on if part.expected_on and part.expected_on > today else None
        begins = datetime.fromisoformat(min(starts)).date()
        if comes is not None and begins < comes:
            yield f"{part.code} comes {comes}, the reassembly begins {begins}"
        if comes is None and (begins - today).days < unit.shop.settings.delivery_days:
            yield f"{part.code} is not here, the reassembly begins {begins}"


@of_unit("No joint is planned to be made anew before the parts of its step can be here.")
def joints_wait_for_parts(unit: UnitViews) -> Iterator[str]:
    of = {o.code: joints_of(o) for o in unit.unit.operations}
    today = unit.book.now.date()
    for entry in unit.book.plan["entries"]:
        if entry["unit"] != unit.code or entry["kind"] == "inserted":
            continue
        steps = of.get(entry["code"], {entry["code"].removeprefix("J-")} if entry["code"].startswith("J-") else set())
        begins = datetime.fromisoformat(entry["start"]).date()
        for part in unit.unit.parts:
            if not steps.intersection(part.for_steps) or part.supply == "here" or part.only_if:
                continue
            comes = part.expected_on if part.expected_on and part.expected_on > today else None
            if begins < (comes or today + timedelta(days=unit.shop.settings.delivery_days)):
                yield f"{entry['code']} begins {begins}, {part.code} {part.name} comes {comes or 'later'}"


@of_unit("Where no part is listed for what is renewed, the reassembly waits for it, and list, plan and work say so.")
def reassembly_waits_for_what_nobody_bought(unit: UnitViews) -> Iterator[str]:
    reassembly = {o.code for o in unit.unit.operations if "A-all" in o.stands_for} | {"A-all"}
    entries = [e for e in unit.book.plan["entries"] if (e["unit"] == unit.code and e["kind"] != "inserted")]
    starts = [datetime.fromisoformat(e["start"]).date() for e in entries if e["code"] in reassembly]
    lacking = [x for x in unit.bill["lines"] if "no part is listed for it" in x["how"]]
    open_lines = [line for line in unit.list["lines"] if not line["readiness"]["done"]]
    asked = " ".join(said for line in open_lines for said in line["readiness"]["missing"])
    for part in lacking if starts else ():
        if part["name"] not in asked:
            continue
        if (min(starts) - unit.book.now.date()).days < unit.shop.settings.delivery_days:
            yield f"{part['name']} is not bought, the reassembly begins {min(starts)}"
        if not any(part["name"] in said and "no part is listed" in said for said in unit.book.plan["assumed"]):
            yield f"the plan does not say that {part['name']} is not bought: {unit.book.plan['assumed']}"
        if "A-all" in {x["code"] for x in unit.cost["comparison"]["hours"]["lines"] if x["proposed"]} and (
            "no part is listed" not in unit.work_text
        ):
            yield f"the work does not say that {part['name']} is not bought"


@of_unit("Worked so far is what steps and operations took.")
def worked_is_the_sum(unit: UnitViews) -> Iterator[str]:
    steps = sum(s.minutes or 0 for s in unit.unit.steps if not s.planned)
    operations = sum(o.spent or 0 for o in unit.unit.operations)
    worked = unit.cost["comparison"]["hours"]["worked"]
    if steps + operations and worked != steps + operations:
        yield f"worked {worked}, steps {steps} and operations {operations}"


@of_unit("What can be done now of the written work takes in what now what is left of it.")
def now_takes_what_is_left(unit: UnitViews) -> Iterator[str]:
    left = {x["code"]: x["effort"] for x in unit.cost["comparison"]["hours"]["lines"]}
    once = {o.code for o in unit.unit.operations if o.times < 2}
    for item in unit.book.now_view["now"]:
        effort = left.get(item["code"])
        if item["unit"] != unit.code or item["kind"] != "operation" or item["code"] not in once or effort is None:
            continue
        if item["minutes"] is not None and item["minutes"] < effort["likely"]:
            yield f"{item['code']}: now {item['minutes']}, left {effort['likely']}"


@of_book("The first thing of the bench is the first thing of what now.")
def bench_and_now_begin_alike(book: BookViews) -> Iterator[str]:
    bench = [(i["unit"], i["code"], i["what"]) for i in book.bench["now"]]
    now = [(i["unit"], i["code"], i["what"]) for i in book.now_view["now"]]
    if bench != now:
        yield f"bench {bench[:2]}, now {now[:2]}"


@of_unit("An operation that is done is neither planned nor what to do now.")
def done_is_done(unit: UnitViews) -> Iterator[str]:
    done = {o.code for o in unit.unit.operations if o.state is WorkState.DONE}
    ahead = {e["code"] for e in unit.book.plan["entries"] if e["unit"] == unit.code and not e["done"]}
    now = {i["code"] for i in unit.book.now_view["now"] if i["unit"] == unit.code}
    yield from done & (ahead | now)


@of_unit("What is proposed is not written down, and what is written down is not proposed again.")
def proposals_are_not_twice(unit: UnitViews) -> Iterator[str]:
    written = {code for o in unit.unit.operations for code in (o.code, *o.stands_for)}
    for line in unit.cost["comparison"]["hours"]["lines"]:
        if line["proposed"] and line["code"] in written:
            yield f"{line['code']} {line['name']}"


def named_next(unit: UnitViews) -> list[str]:
    """Codes of written work that the bench names as next: by its code, or by its whole name."""
    said = unit.bench["next"].removeprefix("next: ")
    return [o.code for o in unit.unit.operations if said.startswith((o.name, f"{o.code} ")) or said == o.code]


@of_unit("What the bench names as next is not done and not blocked, or it says so.")
def next_can_be_done(unit: UnitViews) -> Iterator[str]:
    said = unit.bench["next"]
    now = {i["code"] for i in unit.book.now_view["now"] if i["unit"] == unit.code}
    for operation in unit.unit.operations if unit.unit.stage in GOING_ON else ():
        if operation.code not in named_next(unit):
            continue
        if operation.state is WorkState.DONE and "is done" not in said:
            yield f"{operation.code} is done: {said}"
        failed = any(t.passed is False and operation.code in t.before.split() for t in unit.unit.arrival.make_or_break)
        if failed and "the test failed" not in said:
            yield f"the test before {operation.code} failed: {said}"
        first_named = operation.code == named_next(unit)[0]
        open_tests = any(operation.code in t.before.split() for t in unit.unit.arrival.make_or_break if not t.passed)
        if first_named and operation.code in now and not open_tests and "not yet" in said:
            yield f"{operation.code} can be done now: {said}"


@of_unit("At the reassembly the bench names a line that is ready, or says that none is, or that all are done.")
def next_is_a_line(unit: UnitViews) -> Iterator[str]:
    said = unit.bench["next"]
    if unit.unit.stage is not Stage.REASSEMBLY or unit.unit.next_action or not said.startswith("next: "):
        return
    lines = unit.list["lines"]
    ready = [line["number"] for line in lines if line["readiness"]["ready"]]
    done = sum(line["readiness"]["done"] for line in lines)
    if ready and said.split()[1] not in ready:
        yield f"ready {ready}: {said}"
    if not ready and done < len(lines) and "no line is ready" not in said:
        yield f"nothing is ready: {said}"
    if done < len(lines) and f"{done} of {len(lines)}" not in said:
        yield f"{done} of {len(lines)}: {said}"
    if lines and done == len(lines) and "every line is done" not in said:
        yield f"all are done: {said}"


@of_unit("Work that nobody estimated reads as ? at the head of the work, and as not known in the hours, never 0.")
def unestimated_is_not_nothing(unit: UnitViews) -> Iterator[str]:
    hours = unit.cost["comparison"]["hours"]
    recorded = [line for line in hours["lines"] if not line["proposed"]]
    known = [line for line in recorded if line["effort"] is not None]
    head = unit.work_head
    if recorded and not known and "to do, ?" not in head:
        yield head
    if known and len(known) < len(recorded) and f"and {len(recorded) - len(known)} not estimated" not in head:
        yield head
    if hours["lines"] and all(line["effort"] is None for line in hours["lines"]) and hours["likely"] is not None:
        yield f"hours {hours['likely']}"
    without = [line["code"] for line in hours["lines"] if line["effort"] is None]
    if len(without) != len(hours["unestimated"]):
        yield f"{without} have no time, said {hours['unestimated']}"


def joints_of(operation: Operation) -> set[str]:
    """Steps whose joint an operation makes anew."""
    return {c.removeprefix("J-") for c in (operation.code, *operation.stands_for) if c.startswith("J-")}


@of_unit("A joint that is made anew sets once: where its work is done, no line says that it is curing as well.")
def a_joint_sets_once(unit: UnitViews) -> Iterator[str]:
    of = {step for o in unit.unit.operations if o.state is WorkState.DONE and o.done_at for step in joints_of(o)}
    titles = [line["title"] for line in unit.list["lines"] if of.intersection(line["steps"])]
    for line in unit.list["lines"]:
        for said in (*line["readiness"]["missing"], *line["readiness"]["waits"]):
            if "is curing" in said and any(f" {title} is curing" in said for title in titles):
                yield f"{line['number']}: {said}"


@of_unit("A joint is offered in what now only once the lines before its own line are done, and while that is open.")
def joints_are_offered_in_turn(unit: UnitViews) -> Iterator[str]:
    lines = {step: line for line in unit.list["lines"] for step in line["steps"] if line["key"] == step}
    numbers = {line["number"]: line for line in unit.list["lines"]}
    for item in unit.book.now_view["now"]:
        if item["unit"] != unit.code or not item["code"].startswith("J-"):
            continue
        line = lines.get(item["code"].removeprefix("J-"))
        if line is None:
            continue
        if line["readiness"]["done"]:
            yield f"{item['code']} is offered, {line['number']} is done"
        undone = [x for x in line["readiness"]["reasons"] if x.endswith("is not done.")]
        others = [x for x in undone if numbers.get(x.split()[0], line) is not line]
        yield from (f"{item['code']} is offered: {reason}" for reason in others)


def members_made(unit: UnitViews) -> Iterator[tuple[Step, dict[str, datetime], int]]:
    """Glued joints that lines of the list make anew: the step, when each member was ticked, how many there are."""
    stood_for = {step for o in unit.unit.operations for step in joints_of(o)}
    states = {state.line: state for state in unit.unit.refit.lines if state.done}
    for step in unit.unit.steps:
        remake = step.one_way.remake if step.one_way is not None else None
        if remake is None or not remake.cure or step.code in stood_for or step.code in states:
            continue
        of = unit.unit.set_of(step)
        keys = [f"{step.code}/{m.code}" for m in of.members] if of is not None else []
        ticked = {key: states[key].at for key in keys if key in states}
        if ticked:
            yield step, ticked, len(keys)


@of_unit("Of a joint of a set of which some members are made the others are still to do, in every view alike.")
def joints_are_made_member_by_member(unit: UnitViews) -> Iterator[str]:
    lines = {x["code"]: x for x in unit.cost["comparison"]["hours"]["lines"]}
    for step, ticked, of in members_made(unit) if unit.unit.stage in GOING_ON else ():
        code, left = f"J-{step.code}", of - len(ticked)
        line = lines.get(code)
        minutes = -(-step.one_way.remake.busy * left // of)
        if bool(left) != (line is not None):
            yield f"{len(ticked)} of {of} are ticked, the hours have {line}"
        if line is not None and line["effort"]["likely"] != minutes:
            yield f"{left} of {of} at {step.one_way.remake.busy} min, the hours have {line['effort']}"
        if code not in without_place(unit) and planned(unit)[code] != minutes:
            yield f"{left} of {of} at {step.one_way.remake.busy} min, the plan has {planned(unit)[code]}"
        for item in unit.book.now_view["now"]:
            if (item["unit"], item["code"]) == (unit.code, code) and item["minutes"] != minutes:
                yield f"{left} of {of} at {step.one_way.remake.busy} min, now {item['minutes']}"


@of_unit("What follows a joint at the same members goes on with each as it has set, and says which still wait.")
def each_member_goes_on(unit: UnitViews) -> Iterator[str]:
    lines = {line["key"]: line for line in unit.list["lines"]}
    for step, ticked, of in members_made(unit) if unit.unit.stage in GOING_ON else ():
        wait = timedelta(minutes=(step.one_way.remake.clamp or 0) + step.one_way.remake.cure)
        still = sorted(key.rpartition("/")[2] for key, at in ticked.items() if unit.book.moment < at + wait)
        for line in lines.values():
            follows = step.code in line["must_follow"] and line["members"] == lines[step.code]["members"]
            if not follows or len(ticked) < of or line["readiness"]["done"]:
                continue
            told = sorted(s.partition(":")[0] for s in line["readiness"]["waits"] if "is curing" in s)
            whole = any("is curing" in s for s in line["readiness"]["missing"])
            if whole != (len(still) == of) or (not whole and told != still and not line["readiness"]["missing"]):
                yield f"{line['number']}: {still} of {of} still set, told {told}, all of it: {whole}"


@of_unit("Each member of a joint made anew waits by itself: now tells each, list and plan go on after the last.")
def members_wait_by_themselves(unit: UnitViews) -> Iterator[str]:
    windows = {w["code"]: w for w in unit.book.now_view["windows"] if w["unit"] == unit.code}
    numbers = {line["key"]: line for line in unit.list["lines"]}
    for step, ticked, of in members_made(unit) if unit.unit.stage in GOING_ON else ():
        wait = timedelta(minutes=(step.one_way.remake.clamp or 0) + step.one_way.remake.cure)
        for key, at in ticked.items():
            told = windows.get(key)
            if (told is not None) != (unit.book.moment < at + wait):
                yield f"{key} was ticked {at}, sets for {wait}, told {told}"
            if told is not None and datetime.fromisoformat(told["until"]) != at + wait:
                yield f"{key} was ticked {at}, sets for {wait}, told until {told['until']}"
        last = max(ticked.values()) + wait
        stands = [line["readiness"] for line in unit.list["lines"]]
        said = [s for each in stands for s in (*each["missing"], *each["waits"]) if "is curing" in s]
        own = [s for s in said if f": {numbers[step.code]['number']} " in f": {s}"]
        followed = any(not line["readiness"]["done"] for line in unit.list["lines"])
        if len(ticked) == of and followed and unit.book.moment < last and not own:
            yield f"{step.code} cures until {last}, the list does not say it"
        still = {key.rpartition("/")[2] for key, at in ticked.items() if unit.book.moment < at + wait}
        too_early = [s for s in own if s.partition(":")[0] not in still] if len(ticked) < of else own
        if too_early and (len(ticked) < of or unit.book.moment >= last):
            yield f"{step.code}: {len(ticked)} of {of} ticked, set at {last}: {too_early[0]}"
        whole = [e for e in unit.book.plan["entries"] if (e["unit"], e["code"]) == (unit.code, "A-all")]
        if whole and datetime.fromisoformat(min(e["start"] for e in whole)) < last:
            yield f"the reassembly is planned from {min(e['start'] for e in whole)}, {step.code} cures until {last}"


def bare_words(name: str) -> frozenset[str]:
    """The words of a name without the small ones."""
    return frozenset(re.findall(r"\w+", name.casefold())) - {"the", "a", "of", "and"}


@of_unit("Work that is written down under the words of work that follows is counted once, and asked about.")
def work_called_alike_is_asked(unit: UnitViews) -> Iterator[str]:
    lines = unit.cost["comparison"]["hours"]["lines"]
    following = {bare_words(line["name"]): line["code"] for line in lines if line["proposed"]}
    for operation in unit.unit.operations if unit.unit.stage in GOING_ON else ():
        code = following.get(bare_words(operation.name))
        if operation.state is WorkState.DONE or operation.stands_for or code is None:
            continue
        if code not in operation.apart_from:
            yield f"{operation.code} {operation.name} and {code} are both counted"
    written = {bare_words(o.name): o for o in unit.unit.operations if o.state is not WorkState.DONE}
    counted = {line["code"] for line in lines}
    planned_codes = set(planned(unit)) | set(without_place(unit))
    for code in unit.asked & (counted | planned_codes):
        yield f"{code} is asked about and counted"
    said = [o.code for o in written.values() if set(o.stands_for) & set(o.apart_from)]
    yield from (f"{code} is and is not the same" for code in said)


@of_unit("A line of the list that can be done now is ready on the list.")
def a_line_now_is_ready(unit: UnitViews) -> Iterator[str]:
    ready = {line["key"]: line["number"] for line in unit.list["lines"] if line["readiness"]["ready"]}
    for item in unit.book.now_view["now"]:
        if (item["unit"], item["kind"]) == (unit.code, "line") and item["code"] not in ready:
            yield f"{item['code']} {item['what']} is not ready on the list"
