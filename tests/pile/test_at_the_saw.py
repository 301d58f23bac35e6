"""At the saw: what ticking, finishing and spoiling do to the layout and to the pile."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.costing.material_need import material_needs
from logbook.errors import InputError
from logbook.layout.asked import PartKind, layout_for, parts_of, pieces_of, rules_of
from logbook.layout.at_the_saw import AtTheSaw, finished, reserved_by, ticked, with_layout, without_layout
from logbook.layout.kept import Asked, kept_of, layout_of, problems_now
from logbook.layout.laying_again import laid_again, to_lay_again
from logbook.layout.layout_search import search
from logbook.layout.reservations import conflicts
from logbook.layout.saw import Saw, offcuts_of
from logbook.model.case_plan import Size
from logbook.model.casework_records import Case, Layer, Panel
from logbook.model.document import UnitDocument, read_document, write_document
from logbook.model.measures import Length
from logbook.model.shop import Defect, Shop
from logbook.model.unit import Unit
from logbook.model.words import Grain
from logbook.render.layout_document import binned_words, layout_text
from logbook.tui.layout_rows import cut_entries
from logbook.tui.widgets.signs import glyphs_now
from tests.builders import mm, offcut, shop, unit
from tests.pile.conftest import NOW, TODAY, found, laid

PANELS = PartKind.PANELS


def panel(code: str, size: str, quantity: int = 1, grain: Grain = Grain.LENGTH) -> Panel:
    length, width = size.split("x")
    layer = Layer(material="12 ply", thickness=mm("11.8"))
    rough = Size(length=mm(length), width=mm(width))
    return Panel(code=code, name=code.lower(), quantity=quantity, layers=(layer,), rough=rough, grain=grain)


def box_of(*panels: Panel, code: str = "R1") -> Unit:
    return unit(code=code, case=Case(panels=panels))


def on(unit_: Unit, of_shop: Shop) -> dict[str, Unit]:
    return {unit_.code: unit_}


def ticked_all(unit_: Unit, of_shop: Shop, *orders: int) -> AtTheSaw:
    after = AtTheSaw(unit_, of_shop, "")
    for order in orders:
        after = ticked(after.unit, after.shop, PANELS, order, TODAY)
    return after


@pytest.mark.parametrize("kind", list(PartKind))
def test_what_is_kept_reads_back_as_the_same_layout(
    kind: PartKind, demo_shop: Shop, demo_units: dict[str, Unit]
) -> None:
    layout, asked = found(demo_shop, demo_units, kind)
    kept = kept_of(layout, asked, demo_shop, kind, NOW)
    back = layout_of(kept, demo_shop, "R1")
    assert (back.trees, back.placements, back.leftovers, back.cuts) == (
        layout.trees, layout.placements, layout.leftovers, layout.cuts,
    )  # fmt: skip
    assert (back.used_area, back.part_area, back.used) == (layout.used_area, layout.part_area, layout.used)
    assert problems_now(kept, demo_shop, demo_units, "R1") == ()


def test_it_survives_the_document(demo_shop: Shop, demo_units: dict[str, Unit]) -> None:
    kept = laid(demo_shop, demo_units)
    document = UnitDocument(logbook="unit", version=1, currency="$", unit=kept)
    again = read_document(write_document(document), "a file")
    assert isinstance(again, UnitDocument)
    assert again.unit.layouts == kept.layouts


def test_the_example_lies_as_it_was_worked_by_hand(demo_shop: Shop, demo_units: dict[str, Unit]) -> None:
    """Example 10.7: O01 960 of 980 and 86.6 %, O02 73.0 % with a strip 56.6 x 655 kept, O03 80.3 %."""
    saw = Saw.of(laid(demo_shop, demo_units), demo_shop, PANELS)
    assert saw.layout.used == ("O01", "O02", "O03")
    assert saw.layout.complete
    shares = []
    for piece in saw.pieces:
        parts = sum(p.length * p.width for p in saw.layout.placements if p.piece == piece.code)
        shares.append(round(float(Fraction(100 * parts, piece.length * piece.width)), 1))
    assert shares == [86.6, 73.0, 80.3]
    assert max(c.used for c in saw.cuts_on("O01") if c.axis == "x") == mm("960").ticks
    kept = [(x.piece, x.length, x.width) for x in saw.layout.leftovers if x.keep]
    assert kept == [("O02", mm("655").ticks, mm("56.6").ticks)]


def test_the_last_cut_of_a_piece_sends_its_leftover_back(demo_shop: Shop, demo_units: dict[str, Unit]) -> None:
    start = laid(demo_shop, demo_units)
    saw = Saw.of(start, demo_shop, PANELS)
    of_o02 = [c.order for c in saw.cuts_on("O02")]
    before_last = ticked_all(start, demo_shop, *of_o02[:-1])
    assert before_last.shop == demo_shop
    after = ticked(before_last.unit, before_last.shop, PANELS, of_o02[-1], TODAY)
    codes = [o.code for o in after.shop.offcuts]
    assert "O02" not in codes
    new = next(o for o in after.shop.offcuts if o.code == "O02b")
    assert codes.index("O02b") == [o.code for o in demo_shop.offcuts].index("O02")
    assert (new.length.in_mm(), new.width.in_mm(), new.origin, new.since) == ("655", "56.6", "O02", TODAY)
    assert (new.material, new.thickness, new.place, new.true_edges) == (
        "12 ply", demo_shop.offcuts[1].thickness, "sheet rack", 2,
    )  # fmt: skip
    assert "O02b 655 x 56.6" in after.said
    assert problems_now(after.unit.layouts[0], after.shop, {**demo_units, "R1": after.unit}, "R1") == ()
    with pytest.raises(InputError, match="leftovers are on the pile"):
        ticked(after.unit, after.shop, PANELS, of_o02[-1], TODAY)


def test_a_leftover_under_the_rule_goes_to_the_bin_and_the_rule_can_be_set(
    demo_shop: Shop, demo_units: dict[str, Unit]
) -> None:
    start = laid(demo_shop, demo_units)
    strict = demo_shop.settings.model_copy(update={"keep_width": mm("60")})
    after = finished(start, demo_shop.model_copy(update={"settings": strict}), PANELS, "O02", TODAY)
    assert not [o for o in after.shop.offcuts if o.origin == "O02"]
    assert len(after.shop.offcuts) == len(demo_shop.offcuts) - 1


def test_cuts_come_in_the_order_in_which_they_free_each_other(demo_shop: Shop, demo_units: dict[str, Unit]) -> None:
    start = laid(demo_shop, demo_units)
    saw = Saw.of(start, demo_shop, PANELS)
    last = saw.cuts_on("O01")[-1]
    first = saw.before(last.order)
    assert first is not None
    assert first.order < last.order
    with pytest.raises(InputError, match=f"Cut {first.order} comes first"):
        ticked(start, demo_shop, PANELS, last.order, TODAY)
    one, two = saw.cuts_on("O01")[:2]
    both = ticked_all(start, demo_shop, one.order, two.order)
    with pytest.raises(InputError, match=f"Cut {two.order} was made after it"):
        ticked(both.unit, both.shop, PANELS, one.order, TODAY)
    back = ticked(both.unit, both.shop, PANELS, two.order, TODAY)
    assert layout_for(back.unit, PANELS).done == (one.order,)  # type: ignore[union-attr]
    with pytest.raises(InputError, match="no cut 99"):
        ticked(start, demo_shop, PANELS, 99, TODAY)


def test_a_spoilt_part_is_laid_out_on_what_is_left_of_the_begun_pieces() -> None:
    pile = shop(offcuts=[offcut("O01", "900x300", value=Decimal(9)), offcut("O02", "500x300", value=Decimal(5))])
    start = box_of(panel("P1", "400x200"), panel("P2", "400x200"))
    units = on(start, pile)
    start = laid(pile, units)
    saw = Saw.of(start, pile, PANELS)
    assert saw.layout.used == ("O01",)
    p1 = next(c for c in saw.layout.cuts if c.keep == "P1")
    upto = [c.order for c in saw.layout.cuts if c.order <= p1.order]
    now = ticked_all(start, pile, *upto)
    again = to_lay_again(now.unit, now.shop, on(now.unit, pile), PANELS, TODAY, spoilt=["P1"])
    assert sorted(p.code for p in again.asked.parts) == ["P1", "P2"]
    assert "O01" not in [o.code for o in again.shop.offcuts]
    after = laid_again(again, search(*again.asked), NOW)
    kept = layout_for(after.unit, PANELS)
    assert kept is not None
    assert kept.spoilt == ("P1",)
    assert sorted(p.part for p in Saw.of(after.unit, after.shop, PANELS).layout.placements) == ["P1", "P2"]
    assert all(o.origin == "O01" for o in after.shop.offcuts if o.code != "O02")
    assert problems_now(kept, after.shop, on(after.unit, pile), "R1") == ()
    with pytest.raises(InputError, match="P9 is not cut"):
        to_lay_again(now.unit, now.shop, on(now.unit, pile), PANELS, TODAY, spoilt=["P9"])


def test_what_is_cut_is_not_wanted_again_and_a_changed_size_is(demo_shop: Shop, demo_units: dict[str, Unit]) -> None:
    start = laid(demo_shop, demo_units)
    cut = finished(start, demo_shop, PANELS, "O01", TODAY)
    again = to_lay_again(cut.unit, cut.shop, {**demo_units, "R1": cut.unit}, PANELS, TODAY)
    assert sorted(p.code for p in again.asked.parts) == ["P2", "P3", "P5"]
    assert sorted(p.code for p in again.cut) == ["P1", "P4"]


def test_what_changed_since_is_told() -> None:
    pile = shop(offcuts=[offcut("O01", "900x300")])
    start = laid(pile, on(box_of(panel("P1", "400x200")), pile))
    kept = start.layouts[0]
    moved = pile.model_copy(update={"offcuts": (pile.offcuts[0].model_copy(update={"width": mm("290")}),)})
    other = with_layout(box_of(panel("P1", "410x200")), kept)
    taken = pile.model_copy(update={"offcuts": (pile.offcuts[0].model_copy(update={"reserved_for": "C1 shelf"}),)})
    assert problems_now(kept, pile, on(start, pile), "R1") == ()
    assert problems_now(kept, moved, on(start, pile), "R1") == ("O01 was changed since it was laid out.",)
    assert problems_now(kept, shop(), on(start, pile), "R1") == ("O01 is not on the pile any more.",)
    assert problems_now(kept, pile, on(other, pile), "R1") == ("P1 changed in the record since it was laid out.",)
    (conflict,) = conflicts(taken, [start])  # a promise to another unit does not undo the layout: it is told
    assert "C1 shelf (reserved) and R1 panels (laid out)" in conflict.sentence


def test_a_layout_is_given_up_only_while_nothing_is_cut(demo_shop: Shop, demo_units: dict[str, Unit]) -> None:
    start = laid(demo_shop, demo_units)
    assert without_layout(start, PANELS).layouts == ()
    with pytest.raises(InputError, match="Wood was cut"):
        without_layout(ticked_all(start, demo_shop, 1).unit, PANELS)
    with pytest.raises(InputError, match="no layout of its veneer"):
        Saw.of(start, demo_shop, PartKind.VENEER)


def test_reserving_writes_the_promise_on_every_piece_once(demo_shop: Shop, demo_units: dict[str, Unit]) -> None:
    start = laid(demo_shop, demo_units)
    once = reserved_by(start, demo_shop, PANELS)
    assert {o.code: o.reserved_for for o in once.shop.offcuts if o.reserved_for} == {
        "O01": "R1 panels", "O02": "R1 panels", "O03": "R1 panels", "O13": "C1 runners",
    }  # fmt: skip
    assert reserved_by(once.unit, once.shop, PANELS).shop is once.shop
    assert problems_now(start.layouts[0], once.shop, {**demo_units, "R1": start}, "R1") == ()


def test_a_defect_goes_with_the_rest_it_lies_in_and_the_value_is_shared() -> None:
    knot = Defect(x=mm("820"), y=mm("40"), length=mm("20"), width=mm("20"), what="knot")
    far = Defect(x=mm("10"), y=mm("10"), length=mm("5"), width=mm("5"), what="nail")
    pile = shop(offcuts=[offcut("O01", "1600x300", defects=[knot, far], value=Decimal(8), grain=Grain.WIDTH)])
    start = laid(pile, on(box_of(panel("P1", "400x290", grain=Grain.FREE)), pile))
    saw = Saw.of(start, pile, PANELS)
    cut = replace(saw.pieces[0], code="O01.1", parent="O01", at=(mm("830").ticks, mm("50").ticks))
    rest = replace(cut, length=mm("600").ticks, width=mm("200").ticks, trim_x=0, trim_y=0, value=Decimal("2.125"))
    (piece,) = offcuts_of(saw, [rest], pile, TODAY).values()
    (defect,) = piece.defects
    assert [v.in_mm() for v in (defect.x, defect.y, defect.length, defect.width)] == ["0", "0", "10", "10"]
    assert (defect.what, str(piece.value), piece.grain, piece.true_edges) == ("knot", "2.12", Grain.WIDTH, 2)
    assert (piece.code, piece.origin, piece.kind) == ("O01b", "O01", "sheet")


SIZES = st.tuples(st.integers(40, 500), st.integers(40, 280))


@settings(max_examples=25, deadline=None)
@given(
    st.lists(SIZES, min_size=1, max_size=5),
    st.lists(st.tuples(st.integers(200, 900), st.integers(100, 400)), max_size=4),
    st.data(),
)
def test_wood_is_neither_made_nor_lost(
    sizes: list[tuple[int, int]], sheets: list[tuple[int, int]], data: st.DataObject
) -> None:
    """Parts, leftovers, waste and kerfs of a finished piece are the piece: what comes back never exceeds the rest."""
    pile = shop(offcuts=[offcut(f"O{i:02d}", f"{a}x{b}") for i, (a, b) in enumerate(sheets, 1)])
    start = box_of(*(panel(f"P{i}", f"{a}x{b}") for i, (a, b) in enumerate(sizes, 1)))
    now = laid(pile, on(start, pile))
    assert problems_now(now.layouts[0], pile, on(now, pile), "R1") == ()
    state = AtTheSaw(now, pile, "")
    for kept in now.layouts[0].pieces:
        state = finished(state.unit, state.shop, PANELS, kept.piece.code, TODAY)
    saw = Saw.of(state.unit, state.shop, PANELS)
    assert len({o.code for o in state.shop.offcuts}) == len(state.shop.offcuts)
    for piece in saw.pieces:
        parts = sum(p.length * p.width for p in saw.layout.placements if p.piece == piece.code)
        back = sum(o.length.ticks * o.width.ticks for o in state.shop.offcuts if o.origin == piece.code)
        assert parts + back <= piece.length * piece.width
        assert all(o.code != piece.code for o in state.shop.offcuts)
    spoilt = data.draw(st.sampled_from([p.part for p in saw.layout.placements] or [""]))
    if spoilt:
        again = to_lay_again(state.unit, state.shop, on(state.unit, pile), PANELS, TODAY, spoilt=[spoilt])
        cut = {p.code: p.quantity for p in again.cut}
        left = {p.code: p.quantity for p in again.asked.parts}
        assert all(cut.get(f"P{i}", 0) + left.get(f"P{i}", 0) == 1 for i in range(1, len(sizes) + 1))
        assert left[spoilt] == 1


def test_units_together_tell_their_parts_apart() -> None:
    pile = shop(offcuts=[offcut("O01", "900x300")])
    units = {c: box_of(panel("P1", "300x200"), code=c) for c in ("R1", "C1")}
    layout, asked = found(pile, units, PANELS, "R1", "C1")
    assert sorted(p.part for p in layout.placements) == ["C1/P1", "R1/P1"]
    kept = kept_of(layout, asked, pile, PANELS, NOW, with_units=["C1"])
    units["R1"] = with_layout(units["R1"], kept)
    assert problems_now(kept, pile, units, "R1") == ()


def test_a_set_wants_its_panels_for_each_member_and_a_knife_needs_no_kerf(
    demo_shop: Shop, demo_units: dict[str, Unit]
) -> None:
    veneer = parts_of(demo_units["R1"], PartKind.VENEER)
    shown = [p.code for p in veneer if p.together]
    assert shown == ["P2v", "P1v", "P3v"]
    pieces = {p.code: p for p in pieces_of(demo_shop, rules_of(demo_shop, "R1"), demo_units.values(), PartKind.VENEER)}
    assert set(pieces) == {"O09", "O10", "O11"}
    assert {(p.kerf, p.trim_x, p.trim_y) for p in pieces.values()} == {(0, 0, 0)}
    layout, _ = found(demo_shop, demo_units, PartKind.VENEER)
    ends = max(p.x + p.length for p in layout.placements if p.piece == "O09")
    assert Length.from_ticks(ends).in_mm() == "1133.6"


def test_nothing_is_asked_of_an_empty_case() -> None:
    empty = unit()
    assert [parts_of(empty, kind) for kind in PartKind] == [(), (), ()]
    asked = Asked((), (), rules_of(shop()))
    assert search(*asked).placements == ()


def test_what_is_cut_need_not_be_bought(demo_shop: Shop, demo_units: dict[str, Unit]) -> None:
    """The need of 12 ply is 0.365 m2 (example 10.6); once all is cut, none of it is short."""
    start = laid(demo_shop, demo_units)
    state = AtTheSaw(start, demo_shop, "")
    for code in ("O01", "O02", "O03"):
        state = finished(state.unit, state.shop, PANELS, code, TODAY)
    needs = {n.name: n for n in material_needs(state.unit, state.shop)}
    ply = needs["12 ply 11.8"]
    assert (str(ply.quantity), str(ply.cut), ply.enough) == ("0.3650", "0.3650", True)
    assert "cut already" in ply.how
    before = {n.name: n for n in material_needs(start, state.shop)}["12 ply 11.8"]
    assert (before.cut, before.enough) == (0, False)


def test_what_the_keep_rule_bins_is_said_on_paper_at_the_saw_and_after_the_cut() -> None:
    of_shop, box = shop(offcuts=(offcut("O01", "400x260"),)), box_of(panel("P1", "300x200"))
    kept = laid(of_shop, on(box, of_shop))
    saw = Saw.of(kept, of_shop, PANELS)
    said = binned_words(saw, "O01")
    assert said.startswith("too small for the pile: ")
    assert said.endswith(" (the pile takes 50 x 300 and up, in the settings)")
    assert said in " ".join(layout_text(kept, [saw], width=200).split())
    shown = "".join(text for of in cut_entries(saw, "O01", 200, glyphs_now()) for text in of.lines)
    assert f"{said}; a on the pile writes one down anyway." in shown
    assert "; too small for the pile: " in finished(kept, of_shop, PANELS, "O01", TODAY).said
