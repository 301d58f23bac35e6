# ruff: noqa: SIM102 - of what a rule speaks, and what it asks of it, stand on a line each
"""Rules about money: bill, cash, list of what is to buy, stop line, decision."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from typing import Any

from logbook.model.words import Stage
from tests.agreement.rules import of_book, of_unit
from tests.agreement.views import BookViews, UnitViews, amount

POINTS = ("low", "likely", "high")
CENT = Decimal("0.01")


def buying(unit: UnitViews) -> bool:
    """Whether the unit buys anything: one that has ended does not."""
    return unit.unit.stage not in (Stage.CLOSED, Stage.STOPPED)


def cash(unit: UnitViews) -> dict[str, Any]:
    """The cash to come as JSON gives it."""
    found: dict[str, Any] = unit.cost["comparison"]["cash"]
    return found


def unknown_cash(unit: UnitViews) -> int:
    """Things of the cash that have no price."""
    return len(cash(unit)["unpriced"]) + len(cash(unit)["not_counted"])


@of_unit("The cash to come is what the list of what is to buy comes to, shipping included, on all three points.")
def cash_is_what_is_to_buy(unit: UnitViews) -> Iterator[str]:
    if not buying(unit) or cash(unit)["likely"] is None or unit.to_buy["price"] is None:
        return
    for point in POINTS:
        here, there = amount(cash(unit)[point]), amount(unit.to_buy["price"][point])
        if here != there:
            yield f"{point}: cash {here}, to buy {there}"


@of_unit("Where nothing that is to come has a price, no view has a sum or a verdict in money.")
def nothing_priced_is_no_sum(unit: UnitViews) -> Iterator[str]:
    if cash(unit)["likely"] is not None:
        return
    if buying(unit) and (unit.to_buy["price"] is not None and unit.to_buy["parcels"]):
        yield f"to buy {unit.to_buy['price']}"
    if unit.cost["decision"]["half_of_new"] is not None:
        yield f"50 % rule {unit.cost['decision']['half_of_new']}"
    if "cheaper in cash" in unit.cost_text or "dearer in cash" in unit.cost_text:
        yield "the costs say cheaper or dearer"


@of_unit("As many things have no price in the cash as on the list of what is to buy.")
def unpriced_alike(unit: UnitViews) -> Iterator[str]:
    if not buying(unit):
        return
    no_shipping = sum(parcel["shipping"] is None for parcel in unit.to_buy["parcels"])
    there = len(unit.to_buy["unpriced"]) + no_shipping
    if unknown_cash(unit) != there:
        names = [*cash(unit)["unpriced"], *cash(unit)["not_counted"]]
        yield f"cash {names}, to buy {unit.to_buy['unpriced']} and {no_shipping} parcels"


@of_unit("What is not here on the bill adds up, with shipping, to the cash to come.")
def bill_adds_up_to_cash(unit: UnitViews) -> Iterator[str]:
    if not buying(unit) or cash(unit)["likely"] is None:
        return
    lines = [x for x in unit.bill["lines"] if not x["here"] and x["price"] is not None]
    for point in POINTS:
        goods = sum((amount(x["price"][point]) or Decimal(0) for x in lines), Decimal(0))
        if goods != amount(cash(unit)[point]):
            yield f"{point}: bill {goods}, cash {cash(unit)[point]}"


@of_unit("What is on the list of what is to buy is not here on the bill, and the other way about.")
def bill_and_list_name_the_same(unit: UnitViews) -> Iterator[str]:
    if not buying(unit):
        return
    bill = {(x["code"], x["name"].casefold()) for x in unit.bill["lines"] if not x["here"]}
    shares = [
        (share["code"], purchase["name"].casefold())
        for parcel in unit.to_buy["parcels"]
        for purchase in parcel["purchases"]
        for share in purchase["shares"]
    ]
    shipping = {(x["code"], x["name"].casefold()) for x in unit.bill["lines"] if "shipping" in x["how"]}
    for code, name in (bill - set(shares)) - shipping:
        yield f"the bill lacks {code} {name}, nothing is to buy for it"
    for code, name in set(shares) - bill:
        yield f"{code} {name} is to buy, and the bill has it here"


@of_unit("The sums of the bill as a table are those of the bill as values.")
def bill_table_is_bill(unit: UnitViews) -> Iterator[str]:
    for row, line in zip(unit.bill_rows, unit.bill["lines"], strict=True):
        price = line["price"]
        for point in POINTS:
            wanted = "" if price is None else str(price[point])
            if row[point] != wanted:
                yield f"{line['name']}: table {row[point]!r}, values {wanted!r}"


@of_unit("The shares of the table of what is to buy add up to the sum that is printed under it.")
def table_adds_up(unit: UnitViews) -> Iterator[str]:
    if unit.to_buy["price"] is None:
        return
    for point in POINTS:
        shares = sum((Decimal(row[f"share_{point}"] or 0) for row in unit.to_buy_rows), Decimal(0))
        if shares != amount(unit.to_buy["price"][point]):
            yield f"{point}: rows {shares}, sum {unit.to_buy['price'][point]}"


@of_unit("What was paid for a thing is not to come: its lines ask for nothing more.")
def paid_is_not_to_come(unit: UnitViews) -> Iterator[str]:
    priced = (*unit.unit.parts, *unit.unit.consumables, *unit.unit.cost_lines)
    paid = {x.code for x in priced if x.paid is not None}
    for line in cash(unit)["lines"]:
        if line["code"] in paid:
            yield f"cash has {line['code']}"
    for line in unit.bill["lines"]:
        if line["code"] in paid and (line["price"] is None or amount(line["price"]["high"])):
            yield f"the bill has {line['code']} {line['name']} at {line['price']}"
    for parcel in unit.to_buy["parcels"]:
        for purchase in parcel["purchases"]:
            for share in purchase["shares"]:
                if share["code"] in paid and (share["price"] is None or amount(share["price"]["high"])):
                    yield f"to buy has {share['code']} at {share['price']}"


@of_unit("Low is not above likely, likely not above high, and the expected cash lies between the ends.")
def points_in_order(unit: UnitViews) -> Iterator[str]:
    found = cash(unit)
    if found["likely"] is None:
        return
    low, likely, high = (amount(found[p]) for p in POINTS)
    expected = Fraction(found["expected"])
    if not low <= likely <= high or not low <= expected <= high:
        yield f"{low} {likely} {high}, expected {expected}"


@of_unit("A sum of which nothing is known is no number: not in the text, not as values, not in the table.")
def unknown_is_no_number(unit: UnitViews) -> Iterator[str]:
    priced = [x for x in cash(unit)["lines"] if x["price"] is not None]
    recorded = unit.unit.parts or unit.unit.consumables or unit.unit.cost_lines
    nothing = not priced and (unknown_cash(unit) > 0 or not recorded)
    if nothing != (cash(unit)["likely"] is None):
        yield f"cash {cash(unit)['likely']}, {len(priced)} priced and {unknown_cash(unit)} not"
    if nothing and unit.cost["comparison"]["rows"][0]["cash"] is not None:
        yield f"the row of the rebuild has {unit.cost['comparison']['rows'][0]['cash']}"
    if nothing and any(x is not None for x in unit.cost["comparison"]["rows"][0]["at_rates"]):
        yield "the row of the rebuild has costs at rates"
    if nothing and unit.bench["expected"] is not None:
        yield f"the bench has {unit.bench['expected']}"


@of_unit("No answer says “cheaper” or “dearer” while something has no price or no time, without saying so.")
def answer_says_what_is_missing(unit: UnitViews) -> Iterator[str]:
    answer = unit.cost["answer"]
    missing = unknown_cash(unit) or unit.cost["comparison"]["hours"]["unestimated"]
    if missing and ("cheaper" in answer or "dearer" in answer) and "no price" not in answer and "no time" not in answer:
        yield answer


@of_unit("The answer above the costs is the gap of the table under it.")
def answer_is_the_gap(unit: UnitViews) -> Iterator[str]:
    evens = unit.cost["comparison"]["break_evens"]
    gap = evens[0]["gap"] if evens else None
    if gap is None and ("cheaper" in unit.cost["answer"] or "dearer" in unit.cost["answer"]):
        yield unit.cost["answer"]


@of_unit("What is left of the stop line is the line less everything spent since; reading, picture and bench agree.")
def stop_line_is_one(unit: UnitViews) -> Iterator[str]:
    stop = unit.cost["comparison"]["stop"]
    if stop is None:
        return
    left = amount(stop["amount"]) - amount(stop["spent_since"])
    if left != amount(stop["left"]):
        yield f"{stop['amount']} - {stop['spent_since']} is not {stop['left']}"
    if amount(unit.bench["stop"]) != left:
        yield f"bench {unit.bench['stop']}, costs {left}"
    line = unit.cost["decision"]["timeline"]
    gone = [amount(e["likely"]) for e in line["events"] if e["when"] == "gone"]
    if amount(line["stop_at"]) - sum(gone, Decimal(0)) != left:
        yield f"the picture: reached at {line['stop_at']}, {sum(gone, Decimal(0))} is gone; costs: {left} left"


@of_unit("The stop line is passed on the bench when it is in the costs, and check says the same.")
def stop_line_told_alike(unit: UnitViews) -> Iterator[str]:
    stop = unit.cost["comparison"]["stop"]
    if stop is None:
        return
    over = stop["state"].startswith(("passed", "at risk"))
    if over != unit.bench["over"]:
        yield f"bench {unit.bench['over']}, costs {stop['state']}"
    told = {p.code for p in unit.problems if p.check == 19}
    if buying(unit) and over != bool(told & {"stop-line-passed", "stop-line-at-risk"}):
        yield f"check {told}, costs {stop['state']}"


@of_unit("The chance of passing the stop line is 0 with the highest case under what is left, 1 with the lowest over.")
def chance_fits_the_reading(unit: UnitViews) -> Iterator[str]:
    stop, chance = unit.cost["comparison"]["stop"], unit.cost["decision"]["chance_above_stop_line"]
    if stop is None or chance is None or unknown_cash(unit):
        return
    left, chance = amount(stop["left"]), Fraction(chance)
    if not 0 <= chance <= 1:
        yield f"a chance of {chance}"
    if amount(cash(unit)["high"]) <= left and chance:
        yield f"high {cash(unit)['high']} of {left}, chance {chance}"
    if amount(cash(unit)["low"]) > left and chance != 1:
        yield f"low {cash(unit)['low']} of {left}, chance {chance}"


@of_unit("The high case is called under the stop line only as far as it is known.")
def under_as_far_as_known(unit: UnitViews) -> Iterator[str]:
    stop = unit.cost["comparison"]["stop"]
    if stop is not None and unknown_cash(unit) and "is under it" in stop["sentence"]:
        if "as far as it is known" not in stop["sentence"]:
            yield stop["sentence"]


@of_unit("What is used up of what is bought is not below zero and not above what is to pay.")
def used_up_is_a_share(unit: UnitViews) -> Iterator[str]:
    views = unit.cost["views"]
    if views["to_pay"] is None:
        return
    if not 0 <= amount(views["used_up_bought"]) <= amount(views["to_pay"]):
        yield f"used up {views['used_up_bought']} of {views['to_pay']}"


@of_unit("The cash of the three views, of the decision and of the drawing is one figure.")
def one_cash(unit: UnitViews) -> Iterator[str]:
    if cash(unit)["likely"] is None:
        return
    if unit.cost["views"]["to_pay"] != cash(unit)["likely"]:
        yield f"views {unit.cost['views']['to_pay']}, cash {cash(unit)['likely']}"
    drawn = Fraction(unit.cost["decision"]["cash"]["expected"])
    if not unknown_cash(unit) and drawn != Fraction(cash(unit)["expected"]):
        yield f"drawn {unit.cost['decision']['cash']['expected']}, cash {cash(unit)['expected']}"
    expected = unit.bench["expected"]
    exact = Fraction(cash(unit)["expected"])
    if expected is not None and abs(Fraction(expected) - exact) > Fraction(CENT):
        yield f"bench {expected}, cash {cash(unit)['expected']}"


@of_unit("The timeline ends with everything that is gone and to come at the likely prices.")
def timeline_is_the_cash(unit: UnitViews) -> Iterator[str]:
    events = unit.cost["decision"]["timeline"]["events"]
    if not events or cash(unit)["likely"] is None:
        return
    whole = amount(unit.cost["comparison"]["already_spent"]) + amount(cash(unit)["likely"])
    if amount(events[-1]["sum_likely"]) != whole:
        yield f"the last sum {events[-1]['sum_likely']}, gone and to come {whole}"


@of_unit("The price of a thing with a stated chance is the same on the bill, in the cash and on the list.")
def chance_counts_everywhere(unit: UnitViews) -> Iterator[str]:
    chances = {x.code for x in (*unit.unit.parts, *unit.unit.cost_lines) if x.chance_percent is not None}
    in_cash = {x["code"]: x["price"] for x in cash(unit)["lines"]}
    for line in unit.bill["lines"]:
        if line["code"] in chances and not line["here"] and line["code"] in in_cash:
            if line["price"] != in_cash[line["code"]]:
                yield f"{line['code']}: bill {line['price']}, cash {in_cash[line['code']]}"


@of_unit("Where packs must be bought the bill does not say that they cost nothing.")
def packs_cost_something(unit: UnitViews) -> Iterator[str]:
    shelf = {c.name.casefold(): c for c in unit.shop.shelf if c.pack is not None and c.pack.price > 0}
    paid = {u.code for u in unit.unit.consumables if u.paid is not None}
    for line in unit.bill["lines"]:
        if line["group"] == "consumables" and not line["here"] and line["name"].casefold() in shelf:
            if line["code"] not in paid and line["price"] is not None and not amount(line["price"]["high"]):
                yield f"{line['name']}: {line['how']}"


@of_unit("A line of the cash has a thing on the bill that is not here.")
def cash_is_on_the_bill(unit: UnitViews) -> Iterator[str]:
    missing = {x["code"] for x in unit.bill["lines"] if not x["here"]}
    for line in cash(unit)["lines"]:
        if line["code"] and line["code"] not in missing:
            yield f"{line['code']} {line['name']}"


@of_unit("Nothing is to be got, says the sentence, only when the list is empty; and then nothing is to come.")
def nothing_is_nothing(unit: UnitViews) -> Iterator[str]:
    said = "Nothing to buy" in unit.to_buy_text
    things = [p for parcel in unit.to_buy["parcels"] for p in parcel["purchases"]]
    if said != (not things):
        yield f"said {said}, {len(things)} things"
    if said and (buying(unit) and cash(unit)["likely"] is not None and amount(cash(unit)["high"])):
        yield f"nothing is to be got, cash {cash(unit)['likely']}"


@of_unit("The figures printed are those of the values: the sums of cash and of what is to buy.")
def text_has_the_values(unit: UnitViews) -> Iterator[str]:
    if cash(unit)["likely"] is not None:
        for point in POINTS:
            if f"{amount(cash(unit)[point]):,.2f}" not in unit.cost_text:
                yield f"cash {point} {cash(unit)[point]} is not in the text"
    price = unit.to_buy["price"]
    if price is not None and unit.to_buy["parcels"] and f"{amount(price['likely']):,.2f}" not in unit.to_buy_text:
        yield f"to buy {price['likely']} is not in the text"


@of_book("The shares of all units add up to what the whole list comes to.")
def shares_add_up(book: BookViews) -> Iterator[str]:
    found = book.to_buy
    for point in POINTS:
        shares = sum((amount(price[point]) for _, price in found["by_unit"] if price), Decimal(0))
        if found["price"] is not None and shares != amount(found["price"][point]):
            yield f"{point}: {shares} and {found['price'][point]}"


@of_book("Bought together nothing is dearer than bought unit by unit, as far as every price is known.")
def together_is_not_dearer(book: BookViews) -> Iterator[str]:
    if book.to_buy["unpriced"] or book.to_buy["price"] is None:
        return
    alone = sum((amount(u.to_buy["price"]["likely"]) for u in book.units if u.to_buy["price"]), Decimal(0))
    if amount(book.to_buy["price"]["likely"]) > alone:
        yield f"together {book.to_buy['price']['likely']}, alone {alone}"


@of_unit("What nothing is known of is an empty cell in the tables of the decision, never 0.")
def unknown_is_empty_in_tables(unit: UnitViews) -> Iterator[str]:
    rebuild = unit.cost["comparison"]["rows"][0]
    rows = [r for r in unit.cost_rows if r["section"] == "decision"][: len(rebuild["at_rates"])]
    for row, at_rate in zip(rows, rebuild["at_rates"], strict=True):
        if bool(row["expected"]) != (rebuild["cash"] is not None):
            yield f"cost --csv has {row['expected']!r} of {rebuild['cash']}"
        if bool(row["cost_at_rate"]) != (at_rate is not None):
            yield f"cost --csv has {row['cost_at_rate']!r} at {row['rate']} of {at_rate}"
    paper = unit.decision_rows[0]
    if bool(paper["cash"]) != (rebuild["cash"] is not None):
        yield f"the paper as a table has {paper['cash']!r} of {rebuild['cash']}"
    for line, row in zip(cash(unit)["lines"], (r for r in unit.cost_rows if r["section"] == "cash"), strict=True):
        if bool(row["likely"]) != (line["price"] is not None):
            yield f"{line['name']}: {row['likely']!r} of {line['price']}"


@of_unit("What nothing is known of reads as ? in the costs, in the build record and in the shares, never 0.00.")
def unknown_is_a_question_mark(unit: UnitViews) -> Iterator[str]:
    known = cash(unit)["likely"] is not None
    for name, text, beginning in (
        ("costs", unit.cost_text, "to pay: whole packs and parts"),
        ("build record", unit.record_text, "still to pay: whole packs and parts"),
    ):
        line = next((x for x in text.splitlines() if x.strip().startswith(beginning)), "")
        if line and (line.split()[-1] == "?") == known:
            yield f"{name}: {line}, the cash is {cash(unit)['likely']}"
        used = next((x for x in text.splitlines() if x.strip().startswith("used up:")), "")
        if not known and "0.00 bought" in used:
            yield f"{name}: {used}"
    rebuild = next((x for x in unit.cost_text.splitlines() if x.startswith("rebuild ")), "")
    if rebuild and (rebuild.split()[1] == "?") == known:
        yield f"costs: {rebuild}"
    for code, share in unit.to_buy["by_unit"]:
        line = next((x for x in unit.to_buy_text.splitlines() if x.startswith(f"{code} ") and "?" in x), "")
        if share is None and not line:
            yield f"the share of {code} is not known, and no line says so"


@of_unit("What is missing stands in the answer before “cheaper” and “dearer”, and before what it pays per hour.")
def missing_comes_first(unit: UnitViews) -> Iterator[str]:
    answer = unit.cost["answer"]
    missing = unknown_cash(unit) or unit.cost["comparison"]["hours"]["unestimated"]
    told = [answer.find(word) for word in ("no price", "no time") if word in answer]
    verdicts = [answer.find(word) for word in ("cheaper", "dearer", "per hour") if word in answer]
    if missing and verdicts and (not told or min(told) > min(verdicts)):
        yield answer
    if answer.splitlines()[0] not in " ".join(unit.cost_text.split()):
        yield f"printed otherwise: {answer}"
