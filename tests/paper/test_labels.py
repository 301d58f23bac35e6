"""Labels: what they say, where they lie on the page, and that their square codes can be read back."""

from __future__ import annotations

import io
from decimal import Decimal
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from logbook.errors import InputError
from logbook.model.card_text import step_card
from logbook.model.label_sheets import LabelSheet, label_sheets, read_sheets, sheet_named
from logbook.model.step import FastenerDetail
from logbook.render.labels import Label, LabelKind, label_values, labels_of, shop_labels
from logbook.render.typeset import typeset
from tests.builders import component, consumable, day, fastener, hazard, offcut, screws, shop, step, unit, wire
from tests.example_records import R1, SHOP
from tests.paper.reading import made

MM = 25.4


def drawn(pdf: bytes, page: int = 0, dpi: float = 300) -> Image.Image:
    image = pypdfium2.PdfDocument(pdf)[page].render(scale=dpi / 72).to_pil()
    assert isinstance(image, Image.Image)
    return image


def squares(image: Image.Image) -> dict[str, tuple[float, float]]:
    """The words of every square code on a picture, with its middle in pixels."""
    found = {}
    for code in zxingcpp.read_barcodes(image):
        p = code.position
        xs = [q.x for q in (p.top_left, p.top_right, p.bottom_left, p.bottom_right)]
        ys = [q.y for q in (p.top_left, p.top_right, p.bottom_left, p.bottom_right)]
        found[code.text] = (sum(xs) / 4, sum(ys) / 4)
    return found


def set_labels(labels: list[Label], sheet: LabelSheet, start: int = 1, *, outline: bool = True) -> bytes:
    values = label_values(labels, sheet, start=start, outline=outline, head="R1")
    return typeset("labels.typ", {**values, "title": "labels"}).pdf


def cards(count: int) -> list[Label]:
    return [
        Label(LabelKind.CARD, f"R1 T{i:02d}", f"part {i}", (), "", step_card("R1", f"T{i:02d}"))
        for i in range(1, count + 1)
    ]


@pytest.mark.parametrize("dpi", [150, 300])
def test_every_square_code_is_read_back_by_a_second_library(dpi: int) -> None:
    """Made by segno, read by zxing-cpp (ISO/IEC 18004)."""
    pdf = made("R1", "labels", kinds=(LabelKind.CARD,), sheet="a4-3x8").raw
    assert set(squares(drawn(pdf, 0, dpi))) == {f"LOGBOOK:R1/{s.code}" for s in R1.steps}


SHEETS = [s.name for s in label_sheets()]


@pytest.mark.parametrize("name", SHEETS)
def test_labels_lie_where_the_sheet_says_within_a_third_of_a_millimetre(name: str) -> None:
    sheet, dpi = sheet_named(name), 600
    pdf = set_labels([Label(LabelKind.CARD, "", "") for _ in range(sheet.count)], sheet)
    image = drawn(pdf, 0, dpi).convert("L")
    wide, high = image.size
    dark = image.point(lambda v: 255 if v < 160 else 0)
    per_mm = dpi / MM

    def edges(across: bool) -> list[float]:
        """Where lines lie that run through the middle of the first column or row, in millimetres."""
        middle = float(sheet.left + sheet.width / 3 if not across else sheet.top + sheet.height / 3) * per_mm
        line = [
            dark.getpixel((i, int(middle)) if across else (int(middle), i)) for i in range(wide if across else high)
        ]
        found, i = [], 0
        while i < len(line):
            if line[i]:
                end = i
                while end < len(line) and line[end]:
                    end += 1
                found.append((i + end - 1) / 2 / per_mm)
                i = end
            i += 1
        return found

    xs, ys = edges(True), edges(False)
    for column in range(sheet.columns):
        left = float(sheet.left + column * sheet.across)
        for at in (left, left + float(sheet.width)):
            if 0.4 < at < wide / per_mm - 0.4:  # a line on the paper's edge is cut by it
                assert min(abs(at - x) for x in xs) < 0.3, (name, at)
    for row in range(sheet.rows):
        top = float(sheet.top + row * sheet.down)
        for at in (top, top + float(sheet.height)):
            if 0.4 < at < high / per_mm - 0.4:
                assert min(abs(at - y) for y in ys) < 0.3, (name, at)


def test_a_used_sheet_begins_at_the_first_free_label() -> None:
    sheet, dpi = sheet_named("a4-3x7"), 300
    pdf = set_labels(cards(20), sheet, start=5)
    assert len(pypdfium2.PdfDocument(pdf)) == 2  # 17 on the first, 3 on the next
    for number, (words, (x, y)) in enumerate(sorted(squares(drawn(pdf, 0, dpi)).items()), 4):
        left, top = sheet.corner(number)
        assert words == f"LOGBOOK:R1/T{number - 3:02d}"
        assert float(left) < x / dpi * MM < float(left + sheet.width)
        assert y / dpi * MM == pytest.approx(float(top + sheet.height / 2), abs=0.3)
    assert set(squares(drawn(pdf, 1, dpi))) == {f"LOGBOOK:R1/T{i}" for i in (18, 19, 20)}


@pytest.mark.parametrize("start", [0, 22, -1])
def test_a_place_that_is_not_on_the_sheet_is_refused(start: int) -> None:
    with pytest.raises(InputError, match="places 1 to 21"):
        label_values(cards(1), sheet_named("a4-3x7"), start=start)


@settings(max_examples=25, deadline=None)
@given(count=st.integers(0, 45), start=st.integers(1, 21))
def test_every_label_is_placed_once_and_none_over_another(count: int, start: int) -> None:
    sheet = sheet_named("a4-3x7")
    pages = label_values(cards(count), sheet, start=start)["pages"]
    placed = [(n, x["x"], x["y"]) for n, page in enumerate(pages) for x in page]
    assert len(placed) == count == len(set(placed))
    assert len(pages) == max(1, -(-(count + start - 1) // sheet.count)) if count else len(pages) == 1


def test_a_bag_says_unit_step_what_count_and_day_and_is_repeated_inside() -> None:
    on, inside = (x for x in labels_of(R1, SHOP, [LabelKind.BAG]) if x.code == "R1 BAG 4")
    assert on.title == "chassis bolts"
    assert on.lines[0] == "12 in all: 4 hex bolt M5x35, 4 plain washer 5x25x1.5, 4 spacer tube 6 long"
    assert on.lines[1].startswith("T11 12 Mar 2026")
    assert inside.lines[-1] == "lies inside the bag"
    assert on.square == "LOGBOOK:R1/T11"


def test_a_left_hand_thread_stands_on_the_bag_in_capitals() -> None:
    record = unit(
        step("T01", "left nut", bag="1", fasteners=(fastener("nut", 1, detail=FastenerDetail(left_hand=True)),))
    )
    assert {x.loud for x in labels_of(record, shop(), [LabelKind.BAG])} == {"LEFT-HAND THREAD"}


def test_a_wire_has_a_label_for_each_end() -> None:
    record = unit(step("T09", "cord", connections=(wire("W6", "switch tag 2", "transformer"),)), code="R1")
    one, other = labels_of(record, shop(), [LabelKind.WIRE])
    assert (one.code, one.title, one.lines[0]) == ("R1 W6", "to switch tag 2", "other end: transformer")
    assert (other.title, other.lines[0]) == ("to transformer", "other end: switch tag 2")


def test_a_box_says_which_of_how_many_its_bags_and_what_is_fragile() -> None:
    record = unit(
        step("T01", "back", box="1", bag="1", fasteners=(screws(2),)),
        step("T02", "glass", box="2", bag="2", note="Box 2 FRAGILE", fasteners=(screws(2),)),
        step("T03", "clips", box="2", bag="3", fasteners=(screws(2),)),
    )
    first, second = labels_of(record, shop(), [LabelKind.BOX])
    assert first.lines[:2] == ("box 1 of 2", "bags 1 to 1")
    assert second.lines[:2] == ("box 2 of 2", "bags 2 to 3")
    assert (first.loud, second.loud) == ("", "FRAGILE")


def test_a_part_carries_its_hazard() -> None:
    record = unit(
        step("T01"), components=[component("CF", "capacitor", hazards=[hazard("stored charge")], from_step="T01")]
    )
    (label,) = labels_of(record, shop(), [LabelKind.PART])
    assert label.loud == "WARNING: stored charge"
    assert label.square == "LOGBOOK:R1/T01"


def test_an_offcut_says_its_measured_thickness_and_a_jar_its_last_day() -> None:
    pile = shop(
        offcuts=[offcut("O01", "1020x260", "11.8", usable_length=None), offcut("O02", "500x300", "")],
        shelf=[consumable("varnish", 1, opened_on=day("2026-01-31"), keeps_months=13), consumable("glue", 1)],
    )
    one, two, varnish, glue = shop_labels(pile)
    assert one.title == "12 ply, measured 11.8 mm"
    assert two.title == "12 ply, measured ? mm"
    assert varnish.lines[:2] == ("opened 31 Jan 2026", "use by 28 Feb 2027")
    assert glue.lines == ("opened: ________",)


def test_a_set_of_cards_is_for_every_unit() -> None:
    cards = shop_labels(shop(), [LabelKind.CARD])
    assert [c.square for c in cards[:2]] == ["LOGBOOK:card/1", "LOGBOOK:card/2"]
    assert len({c.square for c in cards}) == 24


def test_hostile_words_stay_on_their_label() -> None:
    sheet = sheet_named("a4-3x7")
    loud = Label(LabelKind.PART, "R1 X", "#eval(1) " * 40, ("x" * 500, "*b* $x$"), "DANGER " * 9, "")
    image = drawn(set_labels([loud, *cards(1)], sheet, outline=False), 0, 150).convert("L")
    per_mm = 150 / MM
    left, top = (float(v) for v in sheet.corner(0))
    for y in range(0, image.height, 3):
        for x in range(0, int((left + float(sheet.width)) * per_mm) + 8, 3):
            inside = top - 0.3 <= y / per_mm <= top + float(sheet.height) + 0.3
            assert inside or y / per_mm < 8 or image.getpixel((x, y)) > 200


def test_a_sheet_of_ones_own_comes_first_and_a_broken_one_is_named(tmp_path: Path) -> None:
    own = tmp_path / "label_sheets.json"
    mine = (
        '{"sheets": [{"name": "mine", "columns": 2, "rows": 3, "width": "80", "height": "40", "left": "10", '
        '"top": "10", "across": "90", "down": "50"}]}'
    )
    own.write_text(mine, encoding="utf-8")
    assert label_sheets(tmp_path)[0].name == "mine"
    assert sheet_named("Mine", tmp_path).width == Decimal(80)
    own.write_text(mine.replace('"80"', '"120"'), encoding="utf-8")
    with pytest.raises(InputError, match=r"(?s)label_sheets\.json.*lie over each other"):
        label_sheets(tmp_path)
    with pytest.raises(InputError, match="There are: a4-3x8"):
        sheet_named("nothing like it")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"left": "150"}, "beside the paper"),
        ({"rows": 0}, "rows"),
        ({"width": "5"}, "too small"),
        ({"paper": "a5"}, "paper"),
    ],
)
def test_a_mistyped_sheet_is_refused(change: dict[str, object], said: str) -> None:
    import json

    good = {
        "name": "x",
        "columns": 2,
        "rows": 2,
        "width": "60",
        "height": "30",
        "left": "10",
        "top": "10",
        "across": "65",
        "down": "35",
    }
    assert read_sheets(json.dumps({"sheets": [good]}).encode())
    with pytest.raises(InputError, match=said):
        read_sheets(json.dumps({"sheets": [good | change]}).encode())


def test_labels_are_text_and_a_table_too() -> None:
    text = made("R1", "labels", "txt").raw.decode()
    assert "R1 BAG 4  chassis bolts" in text
    rows = made("R1", "labels", "csv").raw.decode().splitlines()
    assert rows[0] == "kind,code,title,warning,lines,square code"
    assert len(rows) == 1 + len(labels_of(R1, SHOP))


def test_the_paper_of_labels_says_its_record_where_there_is_room() -> None:
    from pypdf import PdfReader

    text = PdfReader(io.BytesIO(made("R1", "labels").raw)).pages[0].extract_text()
    assert "record version 7" in text
    assert "page 1 of 1" in " ".join(text.split()) or "page 1 of 2" in " ".join(text.split())
