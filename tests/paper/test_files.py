"""Markdown, HTML and CSV: the same words, and nothing that a person typed means anything to a reader of them."""

from __future__ import annotations

import base64
import csv
import io
import re
from pathlib import Path

import html5lib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from logbook.errors import InputError
from logbook.model.step import Photo
from logbook.model.unit import Unit
from logbook.render.blocks import Sign
from logbook.render.markdown import escaped, markdown
from logbook.render.page import Page
from logbook.render.table_file import cell, csv_text
from logbook.render.web import web_page
from logbook.session.papers import Form, Paper, Wish, make_paper
from tests.builders import step, unit
from tests.example_records import SHOP, UNITS
from tests.hostile import HOSTILE, filled, texts
from tests.paper.reading import made, source

WHATS = tuple(Paper)
READER = MarkdownIt("commonmark").enable("table")
"""A CommonMark reader that is not ours (markdown-it-py)."""


def seen(html: str) -> str:
    """The letters of a page as a browser's reader finds them, without blanks."""
    tree = html5lib.parse(html, namespaceHTMLElements=False)
    return "".join("".join(tree.itertext()).split())


# HTML


@pytest.mark.parametrize("code", UNITS)
@pytest.mark.parametrize("what", WHATS)
def test_every_web_page_is_valid_and_needs_nothing_beside_it(code: str, what: str) -> None:
    html = made(code, what, "html").raw.decode()
    html5lib.HTMLParser(strict=True).parse(html)  # raises at the first thing that the standard does not allow
    assert not re.findall(r'(?:src|href|action)="(?!data:)', html)
    assert "<script" not in html.lower()
    assert 'name="viewport"' in html


def test_the_web_page_says_what_the_text_says() -> None:
    html = seen(made("R1", "record", "html").raw.decode())
    for words in ("mains voltage", "Two-core cord, with the switch in W7", "rubber bush, renew, bag 4"):
        assert "".join(words.split()) in html, words


@pytest.mark.parametrize("what", WHATS)
def test_a_hostile_record_makes_a_valid_page_without_anything_that_runs(what: str) -> None:
    record, shop = filled(UNITS["R1"], texts(5)), filled(SHOP, texts(1))
    html = make_paper(source(record, shop), Wish(Paper(what), Form.HTML)).raw.decode()
    html5lib.HTMLParser(strict=True).parse(html)


TAGS = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</p></body>",
    "&lt;b&gt;",
    "{{ 7 * 7 }}",
    "<!--",
    "]]>",
)


@pytest.mark.parametrize("words", TAGS)
def test_typed_tags_are_words_on_the_page(words: str) -> None:
    record = unit(step("T01", words, note=words), name=words)
    html = made(record, "record", "html").raw.decode()
    tree = html5lib.parse(html, namespaceHTMLElements=False)
    assert tree.findall(".//script") == []
    assert tree.findall(".//img") == []
    assert "".join(words.split()) in "".join("".join(tree.itertext()).split())


def test_photos_are_inside_the_page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from PIL import Image

    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    folder = tmp_path / "photos"
    folder.mkdir()
    exif = Image.Exif()
    exif[0x0110] = "a camera that tells where it was"
    Image.new("RGB", (1200, 900), "navy").save(folder / "a.jpg", exif=exif)
    record = unit(step("T01", "cover", photos=(Photo(file="a.jpg", caption="cover <b>"),)))
    html = make_paper(source(record, photos=folder), Wish(Paper.RECORD, Form.HTML)).raw.decode()
    html5lib.HTMLParser(strict=True).parse(html)
    (data,) = re.findall(r'src="data:image/jpeg;base64,([^"]+)"', html)
    inside = Image.open(io.BytesIO(base64.b64decode(data)))
    assert inside.size == (640, 480)
    assert b"a camera" not in base64.b64decode(data)


@pytest.mark.parametrize(
    ("template", "said"),
    [
        ("<p>\n{{ title\n", r"page\.html, line \d cannot be used"),
        ("<p>\n\n{{ nothing_here }}", r"page\.html, line 3 cannot be used: 'nothing_here' is undefined"),
        ("<p>{% for b in blocks %}\n{{ b.k.x.y }}{% endfor %}", r"page\.html, line 2 cannot be used"),
    ],
)
def test_a_mistake_in_an_own_page_names_it_and_the_line(tmp_path: Path, template: str, said: str) -> None:
    own = tmp_path / "templates" / "paper"
    own.mkdir(parents=True)
    (own / "page.html").write_text(template, encoding="utf-8")
    page = Page()
    page.say("x")
    with pytest.raises(InputError, match=said):
        web_page(page.blocks, title="x", footer="", picture=lambda _: None, own=tmp_path)


# Markdown


@given(words=st.text(st.characters(min_codepoint=32, max_codepoint=126), max_size=40))
@settings(max_examples=200, deadline=None)
def test_typed_words_come_through_markdown_letter_by_letter(words: str) -> None:
    html = READER.render(f"x {escaped(words)} x")
    tree = html5lib.parse(html, namespaceHTMLElements=False)
    assert {e.tag for e in tree.iter() if isinstance(e.tag, str)} == {"html", "head", "body", "p"}
    assert "".join("".join(tree.itertext()).split()) == "".join(f"x{words}x".split())


STARTS = (
    "# head",
    "- point",
    "1. one",
    "1) one",
    "> said",
    "+ more",
    "=====",
    "-----",
    "    code",
    "***",
    "| a | b |",
    "```",
    "<div>",
    "[x]: /y",
)


@pytest.mark.parametrize("words", STARTS)
def test_words_at_the_start_of_a_line_begin_nothing(words: str) -> None:
    page = Page()
    page.say(f"first\n{words}")
    tree = html5lib.parse(READER.render(markdown(page.blocks)), namespaceHTMLElements=False)
    assert {e.tag for e in tree.iter() if isinstance(e.tag, str)} <= {"html", "head", "body", "p", "br"}
    assert "".join(words.split()) in "".join("".join(tree.itertext()).split())


@pytest.mark.parametrize("what", WHATS)
def test_hostile_records_stay_words_in_markdown(what: str) -> None:
    record, shop = filled(UNITS["R1"], texts(7)), filled(SHOP, texts(2))
    text = make_paper(source(record, shop), Wish(Paper(what), Form.MARKDOWN)).raw.decode()
    tree = html5lib.parse(READER.render(text), namespaceHTMLElements=False)
    tags = {e.tag for e in tree.iter() if isinstance(e.tag, str)}
    assert tags <= {
        "html", "head", "body", "p", "br", "h1", "h2", "h3", "hr", "ul", "li", "strong", "blockquote",
        "table", "thead", "tbody", "tr", "th", "td", "img", "pre", "code",
    }  # fmt: skip
    assert not re.search("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\u202a-\u202e]", text)


def test_boxes_and_blanks_stand_in_markdown() -> None:
    page = Page()
    page.item((Sign.BOX, " "), "bag 1 empty")
    page.item((Sign.TICKED, " "), "bag 2 empty")
    page.say(("initials ", Sign.BLANK))
    assert markdown(page.blocks) == "- [ ] bag 1 empty\n- [x] bag 2 empty\n\ninitials \\_\\_\\_\\_\\_\\_\\_\\_\n"


def test_typed_brackets_are_no_box() -> None:
    page = Page()
    page.say("[ ] typed")
    assert markdown(page.blocks) == "\\[ \\] typed\n"


# CSV


@pytest.mark.parametrize("what", WHATS)
def test_every_table_has_one_width_and_no_formula(what: str) -> None:
    record, shop = filled(UNITS["R1"], texts(0)), filled(SHOP, texts(4))
    raw = make_paper(source(record, shop), Wish(Paper(what), Form.CSV)).raw.decode()
    rows = list(csv.reader(io.StringIO(raw, newline="")))
    assert len(rows) > (what != Paper.CUTS)  # hostile pieces fit no part, so nothing is cut
    assert {len(r) for r in rows} == {len(rows[0])}
    assert all(rows[0])
    for value in (c for row in rows for c in row):
        assert not re.match(r"\s*[=+@|%]", value) or re.fullmatch(r"\+?[\d.]+", value)
        assert not value.startswith("-") or re.fullmatch(r"-[\d.]+", value)


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("=1+1", "'=1+1"), ("+49", "+49"), ("-5.24", "-5.24"), ("-x", "'-x"), ("@a", "'@a"), ("a=b", "a=b"),
        (" =1", "' =1"), ("-1+2", "'-1+2"), ("", ""), ("\t=1", "'    =1"),
    ],
)  # fmt: skip
def test_a_cell_that_would_be_a_formula_is_made_text(typed: str, written: str) -> None:
    assert cell(typed) == written


def test_cells_are_quoted_as_the_standard_says() -> None:
    """RFC 4180: quotes are doubled, cells with commas, quotes or line ends are quoted, lines end in CR LF."""
    assert csv_text([("a", 'b"c'), ("d,e", "f")]) == 'a,"b""c"\r\n"d,e",f\r\n'


def test_the_tables_hold_the_figures_of_the_example() -> None:
    """example: 77 pieces go back, 27 of them new; 3.20 likely for the feet; 2.40 per hour against new."""
    rows = list(csv.DictReader(io.StringIO(made("R1", "reassembly", "csv").raw.decode(), newline="")))
    assert sum(r["line"][-1].isdigit() for r in rows) == 19
    assert [r["line"] for r in rows if not r["line"][-1].isdigit()] == ["A02a", "A07a", "A10a", "A13a"]
    assert sum(int(r["old pieces"]) for r in rows) == 50
    assert sum(int(r["new pieces"]) for r in rows) == 27
    bom = list(csv.DictReader(io.StringIO(made("R1", "bom", "csv").raw.decode(), newline="")))
    assert next(r["likely"] for r in bom if r["name"] == "rubber feet") == "3.20"
    decision = list(csv.DictReader(io.StringIO(made("R1", "decision", "csv").raw.decode(), newline="")))
    new = next(r for r in decision if r["option"] == "buy new")
    assert (new["saves"], new["pays for an hour"]) == ("56.16", "2.40")


def empty() -> Unit:
    return unit(name="a thing nobody has touched")


@pytest.mark.parametrize("what", WHATS)
@pytest.mark.parametrize("form", Form)
def test_an_empty_record_makes_every_document(what: str, form: str) -> None:
    assert made(empty(), what, form).raw


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_makes_a_harmless_file_name(name: str) -> None:
    assert made(unit(name=HOSTILE[name] or "x"), "bom", "txt").name == "R1-bom-v7.txt"
