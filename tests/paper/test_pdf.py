"""PDF: every document is made, says what the plain text says, and shows what cannot be shown as its code."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from pypdf import PdfReader

from logbook.costing import cost_views, decision
from logbook.errors import InputError
from logbook.model.step import Photo, PictureMark
from logbook.model.unit import Unit
from logbook.model.words import MarkKind, PhotoKind
from logbook.render import typeset as setting
from logbook.render.blocks import Item, Plot, Table, as_text, flat
from logbook.render.costs_document import cost_page
from logbook.render.typeset import characters, typeset, without
from logbook.session.papers import Form, Paper, Wish, make_paper
from tests.builders import at, component, hazard, screws, step, unit
from tests.example_records import SHOP, UNITS
from tests.hostile import filled, texts
from tests.paper.reading import NOW, in_words, letters, lines_of, made, pages, source

BLOCKS = ("reassembly", "bom", "record")
"""The decision has plots, which plain text draws with characters: it is compared block by block."""


@pytest.mark.parametrize("code", UNITS)
@pytest.mark.parametrize("what", BLOCKS)
def test_print_says_what_the_text_says_word_for_word(code: str, what: str) -> None:
    pdf = made(code, what)
    assert pdf.notes == ()
    paper, text = (
        letters("\n".join(pages(pdf.raw))),
        letters(made(code, what, "txt", width=200).raw.decode()),
    )
    for head in ("codewhatconditionwhatbecameofit", "whathowmuchfromprice"):  # again at the top of the next page
        while paper.count(head) > text.count(head):
            paper = head.join(paper.rsplit(head, 1)[:1]) + paper.rsplit(head, 1)[1]
    assert paper == text


@pytest.mark.parametrize("code", UNITS)
def test_the_decision_on_paper_says_every_word_and_every_row_of_its_plots(code: str) -> None:
    made_of, today = UNITS[code], NOW.date()
    decided = decision(made_of, SHOP, today)
    views = cost_views(made_of, SHOP, today)
    page = cost_page(made_of, SHOP, decided.compared, views, NOW, width=200, decided=decided)
    paper = letters("\n".join(pages(made(code, "decision").raw)))
    for block in flat(page.blocks):
        if isinstance(block, Plot):
            said = [block.caption, *(words for row in block.rows for words in (row.name, row.figure))]
        elif isinstance(block, Table):
            said = [cell for row in block.rows for cell in row]
        else:
            said = [as_text(block.words)] if isinstance(block, Item) else []
        for words in said:
            assert letters(words) in paper, words


def test_every_line_of_the_list_stands_on_paper_as_in_the_text() -> None:
    paper = dict(lines_of(in_words("\n".join(pages(made("R1", "reassembly").raw)))))
    text = dict(lines_of(in_words(made("R1", "reassembly", "txt").raw.decode())))
    assert len(text) == 20
    assert list(paper) == list(text)
    for number, words in text.items():
        assert letters(paper[number]) == letters(words), number


def test_the_list_of_the_radio_fits_five_pages_of_a4() -> None:
    """Nineteen lines, four of them with things that go on first, each to be ticked."""
    assert len(pages(made("R1", "reassembly").raw)) <= 5


@pytest.mark.parametrize(
    ("paper", "width", "height"),
    [("a4", 210.0, 297.0), ("us-letter", 215.9, 279.4)],
)
def test_the_paper_has_its_size_and_every_page_says_where_it_comes_from(
    paper: str, width: float, height: float
) -> None:
    """ISO 216 A4; ANSI/ASME Y14.1 size A (US Letter)."""
    reader = PdfReader(io.BytesIO(made("R1", "reassembly", paper=paper, large=True).raw))
    count = len(reader.pages)
    assert count > 4  # large type takes more pages
    for number, page in enumerate(reader.pages, 1):
        assert float(page.mediabox.width) == pytest.approx(width / 25.4 * 72, abs=0.1)
        assert float(page.mediabox.height) == pytest.approx(height / 25.4 * 72, abs=0.1)
        foot = " ".join(page.extract_text().split())
        assert f"page {number} of {count}" in foot
        assert re.search(r"R1 table radio · record version 7, kept 20 Mar 2026 18:00 · printed 20 Mar 2026", foot)


def test_hazards_stand_before_the_line_they_warn_of() -> None:
    record = unit(step("T01", "cover", hazards=(hazard("sharp edge", "gloves", "nothing catches"),)))
    text = "\n".join(pages(made(record, "reassembly").raw))
    assert text.index("sharp edge") < text.index("refit cover")


HOSTILE_WORDS = (
    '#eval("1+1") #import "x.typ": * ', "$x^2$ *bold* _it_ `raw`", "= Head <label> @ref", "// gone /* gone */",
    "#set page(fill: red)", '"quoted" \\#escaped', "https://127.0.0.1/x", "[@click=app.quit]x[/]", "- a\n- b\n+ c",
    "~ -- --- ...", "{{ 7*7 }} {% raw %}", "#image(\"/etc/passwd\")", "'; DROP", "‹U+0041›",
)  # fmt: skip


@pytest.mark.parametrize("words", HOSTILE_WORDS)
def test_typed_words_are_never_markup(words: str) -> None:
    record = unit(step("T01", words, note=words, bag="1", fasteners=(screws(4),)), name=words)
    for what in ("reassembly", "record"):
        got = letters("\n".join(pages(made(record, what).raw)))
        assert got == letters(made(record, what, "txt").raw.decode())
        assert letters(words) in got


@pytest.mark.parametrize("what", [*BLOCKS, "labels"])
def test_hostile_records_are_set(what: str) -> None:
    record, shop = filled(UNITS["R1"], texts(3)), filled(SHOP, texts(9))
    pdf = make_paper(source(record, shop), Wish(Paper(what), Form.PDF))
    reader = PdfReader(io.BytesIO(pdf.raw))
    assert len(reader.pages) >= 1
    assert "/JavaScript" not in str(reader.trailer["/Root"])
    for page in reader.pages:
        box = page.mediabox
        assert (float(box.width), float(box.height)) == pytest.approx((595.28, 841.89), abs=0.1)


def test_a_long_word_breaks_and_stays_on_the_paper() -> None:
    import pypdfium2

    record = unit(step("T01", "x" * 3000))
    pdf = made(record, "record").raw
    document = pypdfium2.PdfDocument(pdf)
    for page in document:
        text = page.get_textpage()
        for i in range(0, text.count_chars(), 50):
            left, _, right, _ = text.get_charbox(i)
            assert 0 <= left <= right <= 596
    assert "".join(pages(pdf)).count("x") >= 3000


LANGUAGES = {
    "Greek": "ραδιόφωνο, πίσω κάλυμμα",
    "Arabic": "غطاء خلفي للمذياع",
    "Hebrew": "מכסה אחורי",
    "Russian": "задняя крышка",
    "Thai": "ฝาหลัง",
    "Devanagari": "पीछे का ढक्कन",
}


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_book_in_any_language_prints_whole(language: str) -> None:
    words = LANGUAGES[language]
    record = unit(step("T01", words, note=words), name=words, components=[component("SP", words)])
    pdf = made(record, "record")
    assert pdf.notes == ()
    text = "\n".join(pages(pdf.raw))
    assert "\x00" not in text
    assert "‹U+" not in text
    if language not in ("Arabic", "Hebrew", "Devanagari", "Thai"):  # these are stored in the order of their shapes
        assert "".join(words.split()) in "".join(text.split())


def test_pictures_of_arabic_are_there_and_not_boxes() -> None:
    """The PDF carries glyphs of an Arabic font, and its text says the letters that were typed."""
    record = unit(step("T01", "مذياع"))
    reader = PdfReader(io.BytesIO(made(record, "record").raw))
    fonts = {str(f.get_object()["/BaseFont"]) for p in reader.pages for f in p["/Resources"]["/Font"].values()}  # type: ignore[index,union-attr]
    assert any("Arabic" in name for name in fonts)
    assert set("مذياع") <= set("".join(p.extract_text() for p in reader.pages))


def test_characters_without_a_glyph_are_named_and_stand_as_their_code() -> None:
    record = unit(step("T01", "cover \U00013000 \U0001f9ff and \U00012000"))
    pdf = made(record, "record")
    assert len(pdf.notes) == 1
    assert "U+13000" in pdf.notes[0]
    assert "U+12000" in pdf.notes[0]
    text = "".join("".join(pages(pdf.raw)).split())
    assert "‹U+13000›" in text
    assert "\x00" not in text


@pytest.mark.parametrize("words", ["后盖螺丝", "뒷면 덮개", "ラジオ"])
def test_east_asian_words_print_where_the_computer_has_a_font_and_are_named_where_not(words: str) -> None:
    pdf = made(unit(step("T01", f"{words} and cover")), "record")
    named = " ".join(pdf.notes)
    printed = "".join("".join(pages(pdf.raw)).split())
    assert "andcover" in printed
    for char in words.replace(" ", ""):
        code = f"U+{ord(char):04X}"
        assert (char in printed) != (code in printed)
        assert (code in named) == (code in printed)


def test_without_the_fonts_that_come_along_print_goes_on(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(setting, "template_folder", lambda name: tmp_path)
    pdf = made(unit(step("T01", "bag 4 and cover")), "record")
    assert "and cover" in " ".join("".join(pages(pdf.raw)).split())


def test_without_the_engine_a_sentence_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    import sys

    setting._engine.cache_clear()
    monkeypatch.setitem(sys.modules, "typst", None)
    try:
        with pytest.raises(InputError, match=r"extra “paper”: pip install"):
            made("R1", "bom")
        assert made("R1", "bom", "txt").raw
        assert made("R1", "record", "html").raw
    finally:
        setting._engine.cache_clear()


@pytest.mark.parametrize(
    ("template", "said"),
    [
        ("#let d = 1\n#nothing-here\n", r"sheet\.typ, line 2, column \d+ cannot be used: unknown variable"),
        ("#let d = json(bytes(sys.inputs.data))\n\n#d.blocks.map(b =>\n", r"sheet\.typ, line 3, column"),
    ],
)
def test_a_mistake_in_an_own_template_names_it_and_the_line(tmp_path: Path, template: str, said: str) -> None:
    own = tmp_path / "templates" / "paper"
    own.mkdir(parents=True)
    (own / "sheet.typ").write_text(template, encoding="utf-8")
    with pytest.raises(InputError, match=said):
        typeset("sheet.typ", {"title": "x"}, own=tmp_path)


def test_a_template_cannot_read_outside_the_folder_of_its_pictures(tmp_path: Path) -> None:
    own = tmp_path / "templates" / "paper"
    own.mkdir(parents=True)
    (tmp_path / "secret.txt").write_text("secret", encoding="utf-8")
    root = tmp_path / "root"
    root.mkdir()
    (own / "sheet.typ").write_text('#read("../secret.txt")', encoding="utf-8")
    with pytest.raises(InputError, match=r"sheet\.typ, line 1"):
        typeset("sheet.typ", {"title": "x"}, own=tmp_path, root=root)


def pictures(folder: Path, *names: str) -> None:
    from PIL import Image

    folder.mkdir(exist_ok=True)
    for i, name in enumerate(names):
        Image.new("RGB", (1600, 1200), (40 * i, 90, 120)).save(folder / name, "JPEG", exif=b"")


def pictured() -> Unit:
    shown = (Photo(file="a.jpg", caption="by hand", kind=PhotoKind.POINTING), Photo(file="b.jpg"), Photo(file="c.jpg"))
    before, after = Photo(file="d.jpg", kind=PhotoKind.BEFORE), Photo(file="d.jpg", kind=PhotoKind.AFTER)
    wide = (before, after.model_copy(update={"taken_at": at("2026-03-19")}))
    return unit(step("T01", "cover", photos=shown), photos=wide)


def images_in(pdf: bytes) -> int:
    return sum(len(page.images) for page in PdfReader(io.BytesIO(pdf)).pages)


def test_photos_stand_at_their_line_and_what_is_missing_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    folder = tmp_path / "photos"
    pictures(folder, "a.jpg", "b.jpg", "d.jpg")
    (folder / "c.jpg").write_bytes(b"no picture")
    src = source(pictured(), photos=folder)
    listed = make_paper(src, Wish(Paper.REASSEMBLY))
    assert images_in(listed.raw) == 2  # the two that help most
    assert listed.notes == ()
    record = make_paper(src, Wish(Paper.RECORD))
    assert images_in(record.raw) == 3  # the same one twice is kept once
    assert [n.partition(",")[0] for n in record.notes] == ["Left out"]
    assert "c.jpg" in record.notes[0]
    assert len(record.raw) < 400_000
    assert len(list((tmp_path / "cache").rglob("*.jpg"))) == 3
    again = make_paper(src, Wish(Paper.RECORD))
    assert again.raw == record.raw


def test_marks_are_drawn_over_the_photo_on_paper_and_not_in_the_original(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    folder = tmp_path / "photos"
    pictures(folder, "a.jpg")
    before = (folder / "a.jpg").read_bytes()
    plain = Photo(file="a.jpg")
    ring = plain.model_copy(update={"marks": (PictureMark(kind=MarkKind.RING, x=500, y=500, radius=200),)})
    shown = []
    for photo in (plain, ring):
        record = unit(step("T01", "cover", photos=(photo,)))
        pdf = make_paper(source(record, photos=folder), Wish(Paper.RECORD))
        assert pdf.notes == ()
        raw = PdfReader(io.BytesIO(pdf.raw)).pages[0].images[0].image.convert("RGB").resize((64, 48)).tobytes()
        shown.append([tuple(raw[i : i + 3]) for i in range(0, len(raw), 3)])
    assert len(set(shown[0])) < 4  # one colour
    assert len([p for p in shown[1] if p[0] > 150 and p[1] < 140]) > 20  # the ring
    assert (folder / "a.jpg").read_bytes() == before


def test_a_link_among_the_photos_is_not_followed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    pictures(tmp_path / "elsewhere", "a.jpg")
    folder = tmp_path / "photos"
    folder.mkdir()
    (folder / "a.jpg").symlink_to(tmp_path / "elsewhere" / "a.jpg")
    record = unit(step("T01", "cover", photos=(Photo(file="a.jpg"), Photo(file="../elsewhere/a.jpg"))))
    paper = make_paper(source(record, photos=folder), Wish(Paper.RECORD))
    assert images_in(paper.raw) == 0
    assert "not a file of the unit's photos" in paper.notes[0]


def test_the_same_record_gives_the_same_bytes() -> None:
    assert made("R1", "bom").raw == made("R1", "bom").raw


def test_characters_are_gathered_from_all_values_once() -> None:
    assert characters({"a": ["ba", {"c": "b"}], "n": 3, "x": None}) == "ab"
    assert without({"a": ["b\ue000"], "n": 3}, ("\ue000",)) == {"a": ["b‹U+E000›"], "n": 3}
