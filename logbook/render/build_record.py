"""The build record: what a unit was, what was found, what was done and with what, to show or to hand on with it.

Cautions for the next person stand first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from itertools import zip_longest

from logbook.costing import BillOfMaterials, CostViews, quantity_in_words
from logbook.model.dangers import each_danger
from logbook.model.dates_in_words import day_and_year
from logbook.model.measures import hours_and_minutes
from logbook.model.members import guesses_of, left_hand_words, whose, wrong_of
from logbook.model.photo_edits import holds_of_step
from logbook.model.proofs import proof_on_paper
from logbook.model.shop import Shop
from logbook.model.shop_clock import by_clock_of
from logbook.model.step import Hazard, Photo, Step
from logbook.model.unit import Component, Unit
from logbook.model.words import Disposition, PhotoKind, WorkState
from logbook.planning.work_to_come import worked_so_far
from logbook.reassembly import Ledger, Progress, RefitLine, RefitList, lines_to_look_at_again
from logbook.render.bill_document import UNKNOWN, price_words, source_words
from logbook.render.blocks import Picture, Tone
from logbook.render.build_step import step_sentences, wrong_words
from logbook.render.money import money
from logbook.render.page import CAUTION, Page, moment_words
from logbook.render.plan_document import hold_read
from logbook.render.reassembly_line_document import hazard_words
from logbook.teardown.left_as import left_words


def build_record_page(
    unit: Unit,
    shop: Shop,
    listed: RefitList,
    account: Ledger,
    *,
    bill: BillOfMaterials,
    views: CostViews,
    version: int,
    kept_at: datetime | None,
    now: datetime,
    width: int = 80,
) -> Page:
    """The whole record of a unit in reading order.

    Args:
        unit: whose record it is.
        shop: for the currency.
        listed: `refit_list(unit)`.
        account: `ledger(unit)`.
        bill: `bill_of_materials(unit, shop, today)`.
        views: `cost_views(unit, shop, today)`.
        version: number of the last change of the record.
        kept_at: when that change was kept.
        now: when this is printed.
        width: columns of plain text.
    """
    unit = by_clock_of(unit, now)
    page = Page(width)
    page.ends(f"{unit.code} {unit.name}", "BUILD RECORD")
    page.ends(f"record version {version}, kept {moment_words(kept_at, now)}", f"printed {moment_words(now)}")
    page.rule()
    page.say(_standing(unit))
    _cautions(page, unit, now)
    _arrival(page, unit)
    _found(page, unit)
    _done(page, unit, listed, now)
    _components(page, unit)
    _account(page, account)
    _before_and_after(page, unit)
    _costs(page, unit, shop, views)
    _materials(page, bill)
    _notes(page, unit)
    return page


def _notes(page: Page, unit: Unit) -> None:
    left = left_words(unit) if unit.left_as is not None else ""
    if unit.notes or left:
        page.head("Notes")
    if unit.left_as is not None and left:
        page.say(f"{moment_words(unit.left_as.at)} {unit.left_as.by} {left}")
    if unit.notes:
        page.say(unit.notes)


def _standing(unit: Unit) -> str:
    words = f"It stands at: {unit.stage}."
    if unit.why_stopped:
        words += f" Stopped because: {unit.why_stopped.rstrip('.')}."
    done = sum(1 for s in unit.steps if not s.planned)
    return f"{words} {done} step{'' if done == 1 else 's'} of the teardown are written down."


def _cautions(page: Page, unit: Unit, now: datetime) -> None:
    page.head("Cautions for the next person")
    page.say(CAUTION)
    every = (*unit.hazards, *(h for s in unit.steps for h in s.hazards), *_of_components(unit))
    for hazard in each_danger(every):  # the same danger at several steps is told once
        stands = proof_on_paper(unit, hazard, now)
        stands = f" {stands[0].upper()}{stands[1:]}." if stands else ""
        page.item(f"{hazard.signal}  ", f"{hazard_words(hazard)}{stands}", tone=Tone.HAZARD)
    for step in unit.steps:
        _not_as_it_seems(page, unit, step)
    if not every:
        page.say("No hazard is written down. That does not mean that there is none.")


def _not_as_it_seems(page: Page, unit: Unit, step: Step) -> None:
    """A left-hand thread, what was wrong as found, and open guesses: of a member where it is its own."""
    of = unit.set_of(step)
    members = [m.code for m in of.members] if of is not None else []
    thread = left_hand_words(step, members)
    if thread:
        page.item(f"{step.code}  ", f"{step.what}: {thread}", tone=Tone.HAZARD)
    for wrong in wrong_of(step, members):
        page.item(f"AS FOUND WRONG  {step.code}  ", wrong_words(step, wrong).replace("as found WRONG: ", "", 1))
    for guess in guesses_of(step, members):
        if not guess.settled:
            whose = f"{guess.member}: " if guess.member else ""
            page.item(f"GUESS  {step.code}  ", f"{step.what}: {whose}{guess.note or guess.certainty}")


def _of_components(unit: Unit) -> Iterator[Hazard]:
    """Hazards of what is still in it: what was scrapped or handed in is gone."""
    gone = (Disposition.SCRAP, Disposition.HAZARDOUS)
    return (h for c in unit.components if c.disposition not in gone for h in c.hazards)


def _arrival(page: Page, unit: Unit) -> None:
    a = unit.arrival
    page.head("Arrival")
    when = day_and_year(a.arrived_at) if a.arrived_at else ""
    facts = (
        ("Arrived", when), ("From", a.origin), ("Class", a.object_class), ("Size", a.size),
        ("As found", a.as_found), ("Note", a.note),
    )  # fmt: skip
    _facts(page, facts)
    _facts(page, ((q.what.rstrip(":"), q.answer or UNKNOWN) for q in a.questions))
    for test in a.tests:
        page.item("Test: ", f"{test.what}: {test.result or _passed(test.passed)}")
    for decides in a.make_or_break:
        page.item("Make-or-break test: ", f"{decides.what}: {_passed(decides.passed)}")
    _pictures(page, unit.photos, (PhotoKind.WIDE, PhotoKind.CLOSE, PhotoKind.POINTING))


def _facts(page: Page, facts: Iterable[tuple[str, str]]) -> None:
    for name, words in facts:
        if words.strip():
            page.item(f"{name}: ", words)


def _passed(passed: bool | None) -> str:
    return {True: "passed", False: "failed", None: "not done yet"}[passed]


def _found(page: Page, unit: Unit) -> None:
    page.head("What was found, step by step")
    if not unit.steps:
        page.say("Nothing was taken apart.")
    for step in unit.steps:
        with page.together():
            page.item(f"{step.code}  ", f"{step.what} ({_how(step)})", tone=Tone.TITLE)
            for words in step_sentences(unit, step):
                page.item("- ", words, 4)
            page.pictures(Picture(p.file, _captioned(p)) for p in step.photos)
            for hold in holds_of_step(step):
                page.pictures(Picture(p.file, f"{hold.code} {hold.what}: {_captioned(p)}") for p in hold.photos)


def _how(step: Step) -> str:
    marks = [
        " and ".join(map(str, (step.action, *step.also))),
        "planned" if step.planned else "",
        "one-way" if step.one_way else "",
    ]
    marks.append(day_and_year(step.at) if step.at else "")
    return ", ".join(filter(None, marks))


def _done(page: Page, unit: Unit, listed: RefitList, now: datetime) -> None:
    page.head("What was done")
    work = [o for o in unit.operations if o.state is not WorkState.TO_DO]
    for o in work:
        spent = f", {hours_and_minutes(o.spent)}" if o.spent is not None else ""
        when = f", {day_and_year(o.done_at)}" if o.done_at else ""
        hold = o.hold if o.hold is not None and o.hold.initials else None
        read = f"; hold point {hold.code} {hold_read(hold)}" if hold is not None else ""
        page.item(f"{o.code}  ", f"{o.name}: {o.state}{spent}{when}{read}")
    states = {s.line: s for s in unit.refit.lines}
    done = [line for line in listed.lines if any(k in states for k in (line.key, *line.tick_keys))]
    again = lines_to_look_at_again(Progress(unit, listed, now))
    for line in done:
        lead = "LOOK AGAIN  " if line.key in again else ""
        for words in _ticked(line, unit):
            page.item(f"{lead}{line.number}  ", words)
    if again:
        page.say("LOOK AGAIN: the line says something else since it was ticked.")
    if not work and not done:
        page.say("Nothing is put back yet.")
    elif not any(o.state is WorkState.DONE for o in unit.operations) and not done:
        page.say("No line of the way back is ticked yet.")


def _ticked(line: RefitLine, unit: Unit) -> Iterator[str]:
    """What was kept at a line: when, by whom, the reading, what differs from plan."""
    for state in unit.refit.lines:
        if state.line not in (line.key, *line.tick_keys):
            continue
        member = f" {state.line.rpartition('/')[2]}" if state.line != line.key else ""
        facts = [f"done {moment_words(state.at)} {state.initials}".strip()] if state.done else ["not done"]
        facts.append(f"reading {state.reading}" if state.reading else "")
        facts.append(f"differs from plan: {state.differs}" if state.differs else "")
        facts.append(f"although not ready: {state.override}" if state.override else "")
        yield f"{line.title}{member}: {'; '.join(filter(None, facts))}"


def _components(page: Page, unit: Unit) -> None:
    if unit.components:
        page.head("Components")
        rows = [("code", "what", "condition", "what became of it"), *(_component(c) for c in unit.components)]
        page.table(rows, widest=2, headed=True)


def _component(c: Component) -> tuple[str, ...]:
    became = f"{c.disposition}{' (done)' if c.repaired else ''}"
    if c.disposal is not None:
        became += f", handed in at {c.disposal.where} on {day_and_year(c.disposal.on)}"
    name = f"{whose(c.member)}{c.name}"
    return c.code, f"{c.quantity} x {name}" if c.quantity != 1 else name, c.condition or UNKNOWN, became


def _account(page: Page, account: Ledger) -> None:
    t = account.total
    page.head("Fasteners")
    page.say(f"{t.holes} holes, {t.found} found = {t.fates}.")
    for difference in account.open:
        page.item("COUNT DIFFERS  ", difference.sentence)


def _before_and_after(page: Page, unit: Unit) -> None:
    before = [p for p in unit.photos if p.kind is PhotoKind.BEFORE]
    after = [p for p in unit.photos if p.kind is PhotoKind.AFTER]
    if before or after:
        page.head("Before and after")
    for pair in zip_longest(before, after):
        page.pictures(Picture(p.file, _captioned(p)) for p in pair if p is not None)


def _pictures(page: Page, photos: Sequence[Photo], kinds: tuple[PhotoKind, ...]) -> None:
    shown = [p for p in photos if p.kind in kinds]
    for i in range(0, len(shown), 2):
        page.pictures(Picture(p.file, _captioned(p)) for p in shown[i : i + 2])


def _captioned(photo: Photo) -> str:
    taken = day_and_year(photo.taken_at) if photo.taken_at else ""
    kind = str(photo.kind) if photo.kind in (PhotoKind.BEFORE, PhotoKind.AFTER) else ""
    return ", ".join(filter(None, [kind, photo.caption, taken]))


def _costs(page: Page, unit: Unit, shop: Shop, views: CostViews) -> None:
    page.head("Costs")
    for spent in unit.spent:
        minutes = hours_and_minutes(spent.minutes) if spent.minutes is not None else ""
        amount = f"{money(spent.amount)} {shop.settings.currency}" if spent.amount is not None else ""
        page.item("spent: ", f"{spent.what} {', '.join(filter(None, [amount, minutes])) or UNKNOWN}")
    sums = (views.to_pay, views.used_up, views.with_own_material)
    to_pay, used_up, with_own = (money(x) if views.known else UNKNOWN for x in sums)
    rows = [
        ("already spent", money(views.already_spent)),
        ("still to pay: whole packs and parts", to_pay),
        ("used up of packs and stock", used_up),
        ("with own material at replacement", with_own),
    ]
    page.table(rows, right=(1,))
    page.say(
        f"Amounts in {shop.settings.currency}, at likely prices. Worked: {hours_and_minutes(worked_so_far(unit))}."
    )
    for name in views.unpriced:
        page.item(f"{UNKNOWN} ", f"missing from these: {name}")


def _materials(page: Page, bill: BillOfMaterials) -> None:
    if not bill.lines:
        return
    page.head("Materials")
    rows = [("what", "how much", "from", "price")]
    for line in bill.lines:
        amount = UNKNOWN if line.quantity is None else quantity_in_words(line.quantity, line.unit)
        name = f"{line.called} ({line.conditional})" if line.conditional else line.called
        rows.append((name, amount, source_words(line), price_words(line)))
    page.table(rows, right=(1, 3), headed=True)
