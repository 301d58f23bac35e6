"""What must change nothing that any command prints: taking an edit back, export and import, another clock or order.

Every command that shows something is asked as a person asks it (`commands.py`), over a book in a folder.
"""

from __future__ import annotations

import difflib
import re
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from functools import partial
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from logbook.cli.arguments import COMMANDS
from logbook.costing import Trial, to_buy, trial_lines
from logbook.costing.buying import arrived
from logbook.costing.what_was_paid import likely_paid
from logbook.model.document import ShopDocument, UnitDocument, read_document, write_document
from logbook.model.every_value import with_every_value
from logbook.model.unit import Book, Unit
from logbook.model.unit_edits import with_disposition, with_repaired
from logbook.model.words import Disposition, Stage
from logbook.planning.running import finished, started
from logbook.reassembly import tick
from logbook.reassembly.progress import count_bag
from logbook.session import Session
from logbook.tui.screens.what_if_rows import compared_facts, trial_rows
from tests.agreement.commands import NOT_SHOWING, SHOWING, asked, every_view, kept
from tests.agreement.variants import NOW, cases, demo
from tests.agreement.views import BookViews

AFTERWARDS = NOW + timedelta(minutes=10)
"""When the commands are asked: some time after the last edit."""
MOMENT = re.compile(r"\d{4}-\d\d-\d\dT[\d:.]+(?:Z|[+-]\d\d:\d\d)")


def test_every_command_is_listed() -> None:
    listed = set(SHOWING) | set(NOT_SHOWING)
    assert listed == set(COMMANDS), "a new command stands in SHOWING, or in NOT_SHOWING with the reason"


def ticking(start: datetime = NOW) -> Callable[[], datetime]:
    """A clock that goes on by a second each time it is asked, so that no two changes are made at once."""
    seconds = count()
    return lambda: start + timedelta(seconds=next(seconds) / 100)


# Taking back


def tick_the_check(unit: Unit) -> Unit:
    return tick(unit, "check", at=NOW, initials="AB", reading="good", override="as told")


def work_on_the_radio(unit: Unit) -> Unit:
    begun = started(unit, "C-ES", NOW, demo().shop)
    return finished(begun, "C-ES", NOW)


def edited(unit: Unit, **changes: Any) -> Unit:
    return unit.model_copy(update=changes)


EDITS: list[Callable[[Unit], Unit]] = [
    partial(with_disposition, code="SP", disposition=Disposition.RENEW),
    partial(with_repaired, code="CH", repaired=True, at=NOW),
    partial(edited, stage=Stage.REASSEMBLY),
    partial(edited, parts=()),
    partial(edited, case=None),
    work_on_the_radio,
    tick_the_check,
    partial(count_bag, bag="1", kind="rh wood screw 3.5x16 steel slotted", counted=4, at=NOW),
]


COUNTED = re.compile(
    r"(?:version|\"version\":) ?\d+|kept (?:\?|\d{1,2} \w{3} \d{4} \d\d:\d\d)|\"kept_at\": *\"[^\"]*\""
)
"""Which version of the record it is and when it was kept: an edit that is taken back is a change, too."""


def differing(one: dict[str, str], other: dict[str, str]) -> list[str]:
    """The lines that differ, each with its command, but for how often and when the record was changed."""
    found = []
    for words in one:
        pair = [re.sub(" {2,}", " ", COUNTED.sub("", shown[words])).splitlines() for shown in (one, other)]
        lines = difflib.unified_diff(*pair, lineterm="", n=0)
        found += [f"{words}: {x}" for x in lines if x[:1] in "+-" and x[:3] not in ("+++", "---")]
    return found[:40]


def test_undo_restores_every_view(tmp_path: Path) -> None:
    folder = kept(demo(), tmp_path / "book", ticking())
    before = every_view(folder, ["R1"], AFTERWARDS)
    with Session.open(folder, now=ticking(NOW + timedelta(minutes=1))) as session:
        for edit in EDITS:
            unit = session.unit("R1")
            session.apply("R1", "an edit", edit)
            assert session.unit("R1") != unit, "the edit changes something"
            session.undo()
        units = list(session.book().units.values())
        wanted = [p for p in to_buy(units, session.shop, NOW).purchases if p.kind == "consumable"]
        for purchase in wanted:
            session.apply_over(
                purchase.units, "it came", lambda of, shop, p=purchase: arrived(p, likely_paid(p), of, shop, NOW.date())
            )
        assert wanted
        for _ in wanted:
            session.undo()
    assert differing(before, every_view(folder, ["R1"], AFTERWARDS)) == []


# Out and in again


def test_import_of_an_export_gives_every_view_again(tmp_path: Path) -> None:
    readable = [c for c in cases() if "nobody_knows" not in c.name]  # a document that names no such work is refused
    book = readable[40].book
    units = {}
    for code, unit in book.units.items():
        document = read_document(write_document(UnitDocument(logbook="unit", version=1, currency="$", unit=unit)))
        assert isinstance(document, UnitDocument)
        units[code] = document.unit
    shop = read_document(write_document(ShopDocument(logbook="shop", version=1, shop=book.shop)))
    assert isinstance(shop, ShopDocument)
    again = Book(shop=shop.shop, units=units)
    one, other = (kept(b, tmp_path / name, ticking()) for b, name in ((book, "one"), (again, "other")))
    assert differing(*(every_view(folder, ["C1"], AFTERWARDS) for folder in (one, other))) == []


# Other clocks


def in_zone(book: Book, zone: str, later: timedelta = timedelta(0)) -> Book:
    """The book with its shop in a time zone, and every moment of it so much later."""

    def moved(value: object) -> object:
        return value + later if isinstance(value, datetime) else value

    settings = book.shop.settings.model_copy(update={"time_zone": zone})
    shop = with_every_value(book.shop, moved).model_copy(update={"settings": settings})
    return Book(shop=shop, units={code: with_every_value(unit, moved) for code, unit in book.units.items()})


def as_on_the_wall(found: dict[str, str], hours: int) -> dict[str, str]:
    """What was printed with every moment that names its zone as a clock shows it that is so many hours ahead of UTC."""

    def on_the_wall(moment: re.Match[str]) -> str:
        return f"{datetime.fromisoformat(moment[0]).astimezone(UTC) + timedelta(hours=hours):%Y-%m-%d %H:%M:%S.%f}"

    without = {words: re.sub(r"Etc/GMT-13|\bUTC\b", "ZONE", text) for words, text in found.items()}
    return {words: MOMENT.sub(on_the_wall, text) for words, text in without.items()}


def test_the_same_hours_in_another_zone_give_the_same_words(tmp_path: Path) -> None:
    """Thirteen hours ahead of UTC most evenings of the record lie on another day; a view that reads UTC shows it."""
    ahead = timedelta(hours=13)
    here, there = in_zone(demo(), "Etc/GMT-13"), in_zone(demo(), "UTC", ahead)
    one = kept(here, tmp_path / "one", ticking())
    other = kept(there, tmp_path / "other", ticking(NOW + ahead))
    shown = as_on_the_wall(every_view(one, ["R1"], AFTERWARDS), 13)
    assert differing(shown, as_on_the_wall(every_view(other, ["R1"], AFTERWARDS + ahead), 0)) == []


def test_the_time_zone_of_the_machine_changes_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = kept(in_zone(demo(), "Europe/Paris"), tmp_path / "book", ticking())
    texts = [words for words in asked() if "--json" not in words]
    before = every_view(folder, ["G1"], AFTERWARDS, only=texts)
    try:
        monkeypatch.setenv("TZ", "Pacific/Kiritimati")  # there it is another day
        time.tzset()
        assert differing(before, every_view(folder, ["G1"], AFTERWARDS, only=texts)) == []
    finally:
        monkeypatch.undo()
        time.tzset()


READS_THE_MACHINE = re.compile(r"\.astimezone\(\)|datetime\.now\(\)|date\.today\(\)")
MAY_READ_IT = {
    "model/moments.py": "a moment that is typed with no clock given",
    "model/typed_values.py": "a moment that is typed with no clock given",
    "planning/free_time.py": "a shop without a zone has the machine's",
}


def test_nothing_but_the_clock_reads_the_zone_of_the_machine() -> None:
    root = Path(__file__).parents[2] / "logbook"
    reading = {
        str(path.relative_to(root)) for path in root.rglob("*.py") if READS_THE_MACHINE.search(path.read_text("utf-8"))
    }
    assert reading == set(MAY_READ_IT)


# Another order


def test_the_order_of_units_changes_no_view_of_a_unit(tmp_path: Path) -> None:
    """Views over the whole book list the units in their order; every other view is of one unit."""
    book = cases()[25].book
    turned = Book(shop=book.shop, units=dict(reversed(book.units.items())))
    one, other = (kept(b, tmp_path / name, ticking()) for b, name in ((book, "one"), (turned, "other")))
    of_units = [words for words in asked() if "UNIT" in words]
    assert differing(*(every_view(folder, ["R1"], AFTERWARDS, only=of_units) for folder in (one, other))) == []


# Another custom


def test_amounts_are_written_by_one_custom_in_every_view(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a comma stands before the cents, no amount of the record is printed with a full stop there."""
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    views = BookViews("demo", demo(), NOW)
    for unit in views.units:
        compared = unit.cost["comparison"]
        found = [compared["cash"][point] for point in ("low", "likely", "high")]
        found += [x["price"]["likely"] for x in compared["cash"]["lines"] if x["price"] is not None]
        found += [each["price"] for each in compared["break_evens"]]
        found += [compared["stop"]["amount"], compared["stop"]["left"]] if compared["stop"] is not None else []
        amounts = {f"{Decimal(amount):.2f}" for amount in found if amount is not None and Decimal(amount)}
        texts = {"costs": unit.cost_text, "bill": unit.bill_text, "to buy": unit.to_buy_text, "list": unit.list_text}
        for name, text in texts.items():
            wrong = [a for a in amounts if re.search(rf"(?<![\d.]){re.escape(a)}(?![\d])", text)]
            assert not wrong, f"{unit.code} {name}: {wrong}"


WITH_A_POINT = re.compile(r"(?<![\w.:,/])\d+\.\d\d?(?![\w.:])")


def test_hours_rates_and_what_is_tried_have_the_sign_of_the_amounts_beside_them(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    views = BookViews("demo", demo(), NOW)
    for unit in views.units:
        tried = trial_lines(unit.unit, unit.shop)
        assert len({line.key for line in tried}) == len(tried)
        rows = [fact for row in trial_rows(tried, Trial(), 120) for fact in row.lines]
        facts = compared_facts(unit.decided, unit.decided, 120)
        for text in (unit.cost_text, "\n".join(rows), "\n".join(facts)):
            assert WITH_A_POINT.findall(text) == []
    assert "up to 38,00 more to pay" in views.bench_text
    assert "up to 38,00 more to pay" in views.now_text
