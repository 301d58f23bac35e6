"""Cut sheets: a piece to a page, drawn to scale as it lies, with its cuts to tick in order."""

from __future__ import annotations

import csv
import ctypes
import io
import re

import pypdfium2
import pypdfium2.raw as raw_pdfium
import pytest

from logbook.render.cut_sheet import cut_sheet_page
from logbook.render.paper_data import ROOM, SCALES, block_values
from logbook.session.papers import Form, Paper, Wish, _saws, make_paper
from tests.builders import unit
from tests.example_records import R1, SHOP
from tests.paper.reading import NOW, in_words, letters, made, pages, source

MM = 25.4 / 72


@pytest.fixture(scope="module")
def sheet() -> bytes:
    return made("R1", "cuts").raw


def rectangles(pdf: bytes, page: int) -> list[tuple[float, float, float, float]]:
    """Left, lower, wide, high of every path on a page, in millimetres, along the middle of its line.

    The bounds that pdfium gives are those of the path and a line's width more on every side.
    """
    found = []
    for thing in pypdfium2.PdfDocument(pdf)[page].get_objects(filter=[raw_pdfium.FPDF_PAGEOBJ_PATH], max_depth=15):
        line = ctypes.c_float()
        raw_pdfium.FPDFPageObj_GetStrokeWidth(thing.raw, ctypes.byref(line))
        grown = line.value * MM
        left, low, right, high = (v * MM for v in thing.get_bounds())
        found.append((left + grown, low + grown, right - left - 2 * grown, high - low - 2 * grown))
    return found


def page_of(pdf: bytes, code: str) -> int:
    return next(i for i, text in enumerate(pages(pdf)) if text.strip().startswith(f"{code} "))


def has(rects: list[tuple[float, float, float, float]], wide: float, high: float) -> tuple[float, float]:
    """The left lower corner of the rectangle of that size, within 0.1 mm."""
    near = [r for r in rects if abs(r[2] - wide) < 0.1 and abs(r[3] - high) < 0.1]
    assert near, (wide, high, sorted(rects, key=lambda r: -r[2])[:6])
    return near[0][0], near[0][1]


def test_the_drawing_is_to_scale_and_lies_as_it_is_cut(sheet: bytes) -> None:
    """example: O01 980 x 260 holds P1 484.0 x 235.4 and P4 465.0 x 229.4, 5 trimmed, kerf 3, the true edge below."""
    page = page_of(sheet, "O01")
    scale = float(re.search(r"scale 1 : ([\d.]+)\. ", " ".join(pages(sheet)[page].split()))[1])  # type: ignore[index]
    rects = rectangles(sheet, page)
    left, low = has(rects, 980 / scale, 260 / scale)
    for size, at in (((484.0, 235.4), (5, 5)), ((465.0, 229.4), (5 + 484 + 3, 5))):
        x, y = has(rects, size[0] / scale, size[1] / scale)
        assert x - left == pytest.approx(at[0] / scale, abs=0.1)
        assert y - low == pytest.approx(at[1] / scale, abs=0.1)


def test_every_piece_has_a_page_of_its_own_with_its_number_in_big_type(sheet: bytes) -> None:
    first = [text.split()[0] for text in pages(sheet) if re.match(r"\s*O\d\d ", text)]
    assert sorted(first) == ["O01", "O02", "O03", "O09", "O10", "O11", "O12"]
    text = pypdfium2.PdfDocument(sheet)[page_of(sheet, "O02")].get_textpage()
    _, low, _, high = text.get_charbox(0)
    assert (high - low) * MM > 4.5  # “O” of the piece's number: about 27 points


def test_the_figures_of_the_example_stand_on_the_sheets(sheet: bytes) -> None:
    words = " ".join(" ".join(in_words(text)) for text in pages(sheet))
    for said in (
        "used 960 of 980 86.6 %",
        "fence 235.4, rip",
        "stop 484, crosscut",
        "used 624.6 of 660 73.0 %",
        "keep O02b 655 x 56.6",
    ):
        assert said in words, said
    assert words.index("WARNING") < words.index("PANELS")


def test_cuts_stand_in_order_and_each_has_its_box() -> None:
    text = made("R1", "cuts", "md").raw.decode()
    for part in re.split(r"^\*?\*?O\d\d ", text, flags=re.MULTILINE)[1:]:
        numbers = [int(n) for n in re.findall(r"^- \[ \] \*\*(\d+)\*\*", part, flags=re.MULTILINE)]
        assert numbers == sorted(numbers)
    rows = list(csv.DictReader(io.StringIO(made("R1", "cuts", "csv").raw.decode(), newline="")))
    panels = [r for r in rows if r["parts"] == "panels"]
    assert [int(r["cut"]) for r in panels] == list(range(1, len(panels) + 1))
    assert len({r["fence setting"] for r in panels}) == 9  # example: nine settings
    fences = [r["fence_mm"] for r in panels]
    assert {"235.4", "281", "484", "465", "306.8", "457", "229.4"} <= set(fences)


@pytest.mark.parametrize(("long", "wide"), [(980, 260), (2400, 12), (300, 300), (150, 600), (30, 20), (9000, 2000)])
def test_every_drawing_fits_the_paper(long: int, wide: int) -> None:
    from logbook.render.blocks import Drawing

    (value,) = block_values([Drawing(long, wide, 1, (), ())], lambda _: None)
    assert value["w"] <= ROOM[0]
    assert value["h"] <= ROOM[1]
    along = float(re.search(r"1 : ([\d.]+)", value["words"])[1])  # type: ignore[index]
    assert along in SCALES
    assert value["w"] == pytest.approx(long / along)
    assert (", 1 :" in value["words"]) == (wide / along < 9 and along > 1)


def test_a_unit_without_a_case_says_so() -> None:
    thing = unit(name="lamp")
    text = made(thing, "cuts", "txt").raw.decode()
    assert "R1 has no parts to cut yet" in text
    assert make_paper(source(thing), Wish(Paper.CUTS, Form.PDF)).raw


def test_a_layout_that_is_not_chosen_is_said_to_be_none() -> None:
    saws, said = _saws(source(R1), R1)
    assert len(saws) == 3
    assert [s for s in said if "not chosen yet" in s]
    page = cut_sheet_page(R1, saws, said, version=1, kept_at=NOW, now=NOW)
    assert "not chosen yet" in page.text()


def test_hostile_names_on_a_drawing_stay_words() -> None:
    """Parts and pieces whose names try to be markup are laid out, drawn, and read back as they were typed."""
    words = "#eval(1) <b>"
    wild = R1.case
    assert wild is not None
    panels = tuple(
        p.model_copy(update={"layers": tuple(x.model_copy(update={"material": words}) for x in p.layers)})
        for p in wild.panels
    )
    record = R1.model_copy(update={"case": wild.model_copy(update={"panels": panels}), "name": words})
    pile = tuple(
        o.model_copy(update={"material": words, "place": "[@click=app.quit]x[/] *b*"} if "ply" in o.material else {})
        for o in SHOP.offcuts
    )
    shop = SHOP.model_copy(update={"offcuts": pile})
    pdf = make_paper(source(record, shop), Wish(Paper.CUTS, Form.PDF))
    assert pdf.notes == ()
    text = letters("\n".join(pages(pdf.raw)))
    assert letters(f"O01 {words} 11.8") in text
    assert letters("kept at [@click=app.quit]x[/] *b*") in text
    html = make_paper(source(record, shop), Wish(Paper.CUTS, Form.HTML)).raw.decode()
    assert "<b>" not in html


def test_the_web_page_draws_pieces_as_vectors_to_the_same_scale() -> None:
    """example: O01 980 x 260 holds P1 484.0 x 235.4 and P4 465.0 x 229.4, 5 trimmed at both reference edges."""
    html = made("R1", "cuts", Form.HTML).raw.decode()
    assert "<pre>" not in html
    drawing = next(part for part in html.split("<svg ")[1:] if "P1 484 x 235.4" in part)
    scale = float(re.search(r"scale 1 : ([\d.]+)\. ", drawing)[1])  # type: ignore[index]
    parts = re.findall(r'<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)" class="part"/>', drawing)
    found = [[round(float(value) * scale, 0) for value in part] for part in parts]
    assert [5, 260 - 5 - 235, 484, 235] in found
    assert sorted(part[2] for part in found) == [465, 484]
    assert all(part[0] >= 0 and part[0] + part[2] <= 980 and part[1] + part[3] <= 260 for part in found)


def test_words_on_a_vector_drawing_stay_inside_their_part() -> None:
    html = made("R1", "cuts", Form.HTML).raw.decode()
    for size, words in re.findall(r'<g font-size="([\d.]+)"[^>]*>(.*?)</g>', html):
        assert 1.2 <= float(size) <= 4
        assert "<text" in words
    assert html.count("<svg ") == html.count("The true edge lies to the fence and is drawn below")
