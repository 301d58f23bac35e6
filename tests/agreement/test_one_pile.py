"""What one unit has laid out is gone for every other one, in each view as a person asks for it."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path

from logbook.layout.asked import PartKind
from logbook.model.unit import Book
from logbook.session import Session
from tests.agreement.commands import kept, said
from tests.agreement.variants import NOW, demo, laid_out, put

LATER = NOW + timedelta(minutes=10)
MATERIAL = ("panels", "veneer", "strips and blocks")


def two_radios(*, laid: bool) -> Book:
    """A radio and its twin, which want the same boards and the same strip; the first may have laid them out."""
    twin = demo().units["R1"].model_copy(update={"code": "X9", "name": "second radio"})
    book = demo()
    for kind in PartKind if laid else ():
        book = laid_out(book, "R1", kind)
    return put(book, twin)


def offered(folder: Path, code: str) -> set[str]:
    """The pieces that the cut list of a unit says a panel may come from."""
    cut_list = json.loads(said(folder, ("panels", code, "--json"), LATER))["cut_list"]
    return {source["code"] for cut in cut_list for source in cut["sources"] if source["fits"] and cut["bands"]}


def lacking(folder: Path, words: tuple[str, ...]) -> set[str]:
    """What of the material a view says is to get."""
    found = json.loads(said(folder, words, LATER))
    if words[0] == "bom":
        return {x["name"] for x in found["lines"] if x["group"] in MATERIAL and not x["here"]}
    purchases = [p for parcel in found["parcels"] for p in parcel["purchases"] if p["kind"] == "material"]
    return {p["name"] for p in purchases if "X9" in {share["unit"] for share in p["shares"]}}


def test_what_another_unit_has_laid_out_is_gone_from_every_view(tmp_path: Path) -> None:
    before, after = (kept(two_radios(laid=laid), tmp_path / str(laid), lambda: NOW) for laid in (False, True))
    assert {"O01", "O02"} <= offered(before, "X9")
    assert not {"O01", "O02", "O03"} & offered(after, "X9")
    assert {"O01", "O02"} <= offered(after, "R1"), "its own layout takes nothing from a unit"
    wanted = {"12 ply 11.8", "9 ply 8.8", "dark veneer leaf 0.6", "plain backer veneer 0.6", "softwood strip 12x12"}
    for words in (("bom", "X9", "--json"), ("to-buy", "X9", "--json")):
        assert lacking(before, words) == set()
        assert lacking(after, words) == wanted
    assert lacking(after, ("to-buy", "--json")) == wanted
    screen = " ".join(said(after, ("bom", "X9"), LATER).split())
    assert "0.781 m of it on the pile" in screen
    paper = " ".join(said(after, ("print", "X9", "bom", "--as", "txt", "--to", "-"), LATER).split())
    assert "0.781 m of it on the pile" in paper
    labels = said(after, ("print", "shop", "labels", "--as", "csv", "--to", "-"), LATER)
    assert "for R1 panels" in labels
    assert "for R1 panels" not in said(before, ("print", "shop", "labels", "--as", "csv", "--to", "-"), LATER)


def test_the_pile_of_a_unit_is_told_without_reading_units_that_hold_nothing(tmp_path: Path) -> None:
    folder = kept(two_radios(laid=True), tmp_path / "book", lambda: NOW)
    with Session.open(folder, now=lambda: NOW) as session:
        session.lines()
    with Session.open(folder, now=lambda: LATER) as session:
        seen = session.shop_for("X9")
        assert set(session.read_units) <= {"R1", "C1"}, "R1 has its layout, C1 was promised a board"
        assert seen is session.shop_for("X9")
        assert session.shop_for("R1") is not seen
        lying = {o.code: o for o in seen.offcuts}
        assert lying["O01"].reserved_for == "R1 panels"
        assert lying["O12"].usable_length is not None
        assert lying["O12"].usable_length.in_mm() == "781"


def test_an_edit_of_the_holder_is_seen_at_once(tmp_path: Path) -> None:
    folder = kept(two_radios(laid=True), tmp_path / "book", lambda: NOW)
    with Session.open(folder, now=lambda: LATER) as session:
        counted = next(line.unpriced for line in session.lines() if line.code == "X9")
        session.apply("R1", "given up", lambda unit: unit.model_copy(update={"layouts": ()}))
        assert session.shop_for("X9").offcuts[0].reserved_for == ""
        assert next(line.unpriced for line in session.lines() if line.code == "X9") == counted - 5


def test_parts_in_the_layout_of_another_unit_are_not_to_buy(tmp_path: Path) -> None:
    """The twin's parts lie in the layout of the first: it holds nothing from it."""
    book = two_radios(laid=True)
    radio = book.units["R1"]
    together = tuple(layout.model_copy(update={"with_units": ("X9",)}) for layout in radio.layouts)
    book = put(book, radio.model_copy(update={"layouts": together}))
    folder = kept(book, tmp_path / "book", lambda: NOW)
    assert lacking(folder, ("bom", "X9", "--json")) == set()
