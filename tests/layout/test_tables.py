"""Tables of parts and offcuts, and the answer for machines."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest

from logbook.errors import InputError
from logbook.layout.layout_search import search
from logbook.layout.layout_tables import layout_data, parts_from, pieces_from
from logbook.model.words import Grain
from tests.layout.builders import mm, rules, ticks

PARTS = "code,quantity,length_mm,width_mm,material,thickness_mm,grain\n"
OFFCUTS = "code,material,thickness_mm,length_mm,width_mm,grain,value,defects\n"


def test_a_table_of_parts() -> None:
    (one, two) = parts_from("\ufeff" + PARTS + "P1,2,484.0,235.4,12 ply,11.8,length\n\n P2 ,1,30,20,12 ply,11.8,FREE\n")
    assert (one.code, one.quantity, mm(one.length), mm(one.width), mm(one.thickness)) == ("P1", 2, 484, 235.4, 11.8)
    assert (one.material, one.grain, two.code, two.grain) == ("12 ply", Grain.LENGTH, "P2", Grain.FREE)


def test_a_table_of_offcuts_in_any_order_of_columns_with_more_beside() -> None:
    table = (
        "value,code,grain,place,width_mm,length_mm,thickness_mm,material,defects,readings_mm,usable_length_mm,reserved_for\n"
        '2.50,O1,width,rack,260,1020,11.8,"ply, birch",980:0:40:260; 1:2:3:4,11.8;11.9,980,C1 runners\n'
        ",O2,free,,10,20,3,board,,,,\n"
    )
    one, two = pieces_from(table)
    assert (one.value, one.material, mm(one.length), mm(one.width)) == (Decimal("2.50"), "ply, birch", 980, 260)
    assert (one.thickness, one.reserved_for) == ((ticks("11.8"), ticks("11.9")), "C1")
    assert [(mm(d.x), mm(d.length)) for d in one.defects] == [(980, 40), (1, 3)]
    assert (two.value, two.defects, two.thickness) == (None, (), (ticks(3),))


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ("", ["is empty", "code,quantity"]),
        (PARTS, ["no row below"]),
        ("code,quantity\nP1,1\n", ["no column length_mm, width_mm, material, thickness_mm, grain"]),
        (PARTS + "P1,0,1,1,ply,1,length\n", ["row 2", "quantity: “0”"]),
        (PARTS + "P1,²,1,1,ply,1,length\n", ["row 2", "quantity: “²”"]),
        (PARTS + "P1,1,x,1,ply,1,length\n", ["row 2", "length_mm", "“x” is not a length"]),
        (PARTS + "P1,1,-5,1,ply,1,length\n", ["row 2", "length_mm", "above 0"]),
        (PARTS + "P1,1,1,1,,1,length\n", ["row 2", "material is empty"]),
        (PARTS + "P1,1,1,1,ply,1,along\n", ["row 2", "grain: “along”"]),
        (PARTS + "P1,1,1,1,ply,1,length\nP1,1,1,1,ply,1,length\n", ["row 3", "P1 is already in row 2"]),
        (PARTS + "P1,1,1,1,ply,1,length,more\n", ["row 2 has more cells"]),
        (PARTS + "P1,2000,1,1,ply,1,free\nP2,1,1,1,ply,1,free\n", ["more than 2000 parts"]),
        ("code,code," + PARTS + "1,1,1,1,1,1,1,1,1\n", ["two columns code"]),
        (PARTS + '"P1,1,1,1,ply,1,length\n', ["not a table"]),
        (PARTS + "\n".join(f"P{n},x,1,1,ply,1,free" for n in range(15)), ["row 11", "And 5 more rows"]),
    ],
)
def test_what_is_wrong_with_a_table_is_said_with_its_row(table: str, words: list[str]) -> None:
    with pytest.raises(InputError) as said:
        parts_from(table, "parts.csv")
    assert str(said.value).startswith("parts.csv")
    for word in words:
        assert word in str(said.value)


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ("O1,ply,1,1,1,free,free,", "value: "),
        ("O1,ply,1,1,1,free,-1,", "below 0"),
        ("O1,ply,1,1,1,free,,1:2:3", "x:y:length:width"),
        ("O1,ply,1,1,1,free,,1:2:3:0", "has no size"),
        ("O1,ply,1,1,1,free,,a:2:3:1", "defects: “a”"),
    ],
)
def test_what_is_wrong_with_an_offcut(cells: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        pieces_from(OFFCUTS + cells + "\n")


def test_the_answer_for_machines_has_exactly_these_fields() -> None:
    parts = parts_from(PARTS + "P1,1,300.5,100,ply,11.8,width\nP9,1,3000,100,ply,11.8,width\n")
    pile = pieces_from(OFFCUTS + "O1,ply,11.8,150,400,length,,\n")
    answer = json.loads(json.dumps(layout_data(search(parts, pile, rules()))))
    assert list(answer) == [
        "placements", "unplaced", "used", "used_area_mm2", "part_area_mm2", "bound_area_mm2", "leftovers", "cuts",
    ]  # fmt: skip
    assert answer["placements"] == [
        {"part": "P1", "offcut": "O1", "x": 5, "y": 5, "length": 100, "width": 300.5, "turned": True}
    ]
    assert answer["unplaced"][0]["part"] == "P9"
    assert answer["unplaced"][0]["quantity"] == 1
    assert answer["used"] == ["O1"]
    assert (answer["used_area_mm2"], answer["part_area_mm2"], answer["bound_area_mm2"]) == (60000, 30050, 60000)
    assert {"offcut": "O1", "order": 1, "along": "length", "fence": 5, "from": "O1", "keep": "O1"} in answer["cuts"]
    assert {c["along"] for c in answer["cuts"]} == {"length", "width"}
    assert all(set(x) == {"offcut", "x", "y", "length", "width", "keep"} for x in answer["leftovers"])
