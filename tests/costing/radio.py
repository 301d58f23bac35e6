"""The case, work and money of the table radio R1, re-typed: what the figures of the costs are computed from."""

from __future__ import annotations

from decimal import Decimal

from logbook.model.casework_records import Case, Layer, Leaf, Material, Panel, Size, Strip
from logbook.model.measures import Effort
from logbook.model.shop import Shop
from logbook.model.unit import Arrival, Unit
from logbook.model.words import ComparatorKind, Disposition
from logbook.model.work import Comparator, ConsumableUse, CostLine, MakeOrBreak, SaleLine, Spent, StopLine, UseTerm
from tests.builders import (
    component,
    consumable,
    estimate,
    fastener,
    mm,
    new_fasteners,
    offcut,
    operation,
    part,
    renewed,
    scrapped,
    screws,
    shop,
    step,
    unit,
)

_HOURS = {
    "B01": ("0.4", "0.5", "0.8"),
    "B02": ("0.7", "1", "1.6"),
    "B03": ("0.7", "1", "1.6"),
    "B04": ("0.6", "0.75", "1.2"),
    "B05": ("0.6", "0.75", "1.2"),
    "B06": ("1", "1.25", "2"),
    "B07": ("0.5", "0.75", "1.2"),
    "B08": ("1.1", "1.5", "3"),
    "B09": ("0.9", "1.25", "2.2"),
    "B10": ("0.4", "0.5", "1"),
    "B11": ("0.6", "0.75", "1.2"),
    "B12": ("0.4", "0.5", "0.8"),
    "B13": ("0.9", "1.25", "2"),
    "B14": ("1.2", "1.6", "2.4"),
    "K01": ("2", "3", "6"),
    "K02": ("0.5", "1", "3"),
    "A01": ("2", "3", "5"),
}


_STANDS_FOR = {
    "B01": ("P-layout",),
    "B02": ("P-rough",),
    "B06": ("P-trim",),
    "B10": ("P-dry",),
    "B11": ("P-glue",),
    "A01": ("A-all",),
}
"""What of the work that follows from the record each operation is."""


def hours_of(low: str, likely: str, high: str) -> Effort:
    """Hours as decimals, kept as whole minutes."""
    return Effort(**{k: int(Decimal(v) * 60) for k, v in {"low": low, "likely": likely, "high": high}.items()})


def size(text: str) -> Size:
    """`size("484.0x235.4")`."""
    length, width = text.split("x")
    return Size(length=mm(length), width=mm(width))


def panel(code: str, rough: str, core: tuple[str, str] = ("12 ply", "11.8"), veneer: str = "") -> Panel:
    """A panel of one core, veneered on both faces when a leaf size is given."""
    material, thickness = core
    leaves = ()
    if veneer:
        leaves = tuple(
            Leaf(material=m, thickness=mm("0.6"), size=size(veneer), show=m == "dark veneer")
            for m in ("dark veneer", "backer")
        )
    return Panel(
        code=code,
        name=code,
        layers=(Layer(material=material, thickness=mm(thickness)),),
        leaves=leaves,
        rough=size(rough),
    )


def strip(code: str, quantity: int, length: str) -> Strip:
    return Strip(code=code, name=code, quantity=quantity, length=mm(length), material="softwood strip 12x12")


def the_case() -> Case:
    def material(name: str, **price: str) -> Material:
        return Material(name=name, **{k: Decimal(v) for k, v in price.items()})

    return Case(
        panels=(
            panel("P1", "484.0x235.4", veneer="496.0x247.4"),
            panel("P2", "306.8x235.4", veneer="318.8x247.4"),
            panel("P3", "306.8x235.4", veneer="318.8x247.4"),
            panel("P4", "465.0x229.4"),
            panel("P5", "457.0x281.0", core=("9 ply", "8.8"), veneer="469.0x293.0"),
        ),
        strips=(strip("S1", 2, "276"), strip("S2", 1, "428"), strip("K1", 6, "40"), strip("K2", 4, "90")),
        materials=(
            material("12 ply", per_m2="28"),
            material("9 ply", per_m2="22"),
            material("dark veneer", per_m2="18"),
            material("backer", per_m2="6"),
            material("softwood strip 12x12", per_m="1.20"),
        ),
    )


def term(amount: str, **more: str | int) -> UseTerm:
    numbers = {k: Decimal(str(v)) if k in ("rate", "coverage") else v for k, v in more.items()}
    return UseTerm(amount=Decimal(amount), **numbers)


def consumption_of(
    code: str, name: str, of_unit: str, *terms: UseTerm, waste: str = "", price: str = ""
) -> ConsumableUse:
    return ConsumableUse(
        code=code,
        consumable=name,
        unit=of_unit,
        terms=terms,
        waste_percent=Decimal(waste) if waste else None,
        price=estimate(*price.split("/")) if price else None,
    )


def show_area(coverage: str, coats: int = 1) -> tuple[UseTerm, ...]:
    """Top, two sides and the front of the baffle, less the openings: 0.3723 − 0.0340 m2."""
    return (
        term("0.3723", what="show faces", per="m2", coverage=coverage, times=coats),
        term("-0.0340", what="less openings", per="m2", coverage=coverage, times=coats),
    )


def the_consumables() -> tuple[ConsumableUse, ...]:
    return (
        consumption_of(
            "U1",
            "PVA",
            "g",
            term("0.7736", what="faces", per="m2", rate="200"),
            term("0.0358", what="joints", per="m2", rate="250"),
            waste="15",
        ),
        consumption_of("U2", "varnish", "l", *show_area("12", coats=4), waste="20", price="11/11/13"),
        consumption_of("U3", "stain", "l", *show_area("14"), waste="20"),
        consumption_of("U4", "shellac", "l", term("0.2139", what="bottom, both faces", coverage="10"), waste="20"),
        consumption_of(
            "U5", "edge band", "m", term("1.5446"), term("4", per="pieces", rate="0.05"), price="8.25/8.25/10"
        ),
        consumption_of("U6", "abrasive sheet", "", term("3"), price="6/6/9"),
    )


def the_shop() -> Shop:
    return shop(
        settings={"rate": Decimal(12), "fair_rate": Decimal(30)},
        shelf=[
            consumable("PVA", "300", ("500", "9.50"), unit="ml", density=Decimal("1.1")),
            consumable("varnish", "0", ("250", "11.00"), unit="ml"),
            consumable("stain", "90", ("125", "7.00"), unit="ml"),
            consumable("shellac", "120", ("250", "9.00"), unit="ml"),
            consumable("edge band", "0", ("7.5", "8.25"), unit="m"),
            consumable("abrasive sheet", "0", ("5", "6.00")),
        ],
        offcuts=[
            offcut("O01", "1020x260", usable_length=mm("980")),
            offcut("O02", "660x300"),
            offcut("O03", "500x320", "8.8", "9 ply"),
            offcut("O06", "520x250", "12.2"),
            offcut("O09", "1260x255", "0.6", "dark veneer"),
            offcut("O10", "560x305", "0.6", "dark veneer"),
            offcut("O11", "1700x300", "0.6", "backer"),
            offcut("O12", "2400x12", "12", "softwood strip 12x12"),
            offcut("O15", "240x180"),
        ],
    )


def the_steps():
    """The steps with fasteners; the kinds, holes, found and what becomes of them."""
    return (
        step("T02", fasteners=[screws(6, 5, renewed_here=True)], bag="1"),
        step(
            "T05",
            "knobs",
            fasteners=[
                renewed("wax plug", 4, renewed_here=True),
                fastener("grub screw M3x6", 4),
                fastener("felt washer", 4),
            ],
            bag="2",
        ),
        step("T08", "clip", fasteners=[fastener("screw M4x10"), fastener("nut M4"), fastener("P-clip 6")], bag="3"),
        step("T09", "mains cord"),
        step(
            "T11",
            "chassis bolts",
            fasteners=[
                fastener("bolt M5x35", 4),
                fastener("washer", 4),
                fastener("tube 6", 4),
                renewed("rubber bush", 8),
            ],
            bag="4",
        ),
        step(
            "T15", "glass", fasteners=[fastener("spring clip", 2), renewed("felt strip", 2, renewed_here=True)], bag="7"
        ),
        step(
            "T16",
            "baffle",
            fasteners=[scrapped("panel pin", 8)],
            refit={"new_fasteners": (new_fasteners("rh wood screw 3.5x20", 8, why="screwed now", here=True),)},
        ),
        step("T17", "cloth", fasteners=[scrapped("staple", 16), fastener("csk screw M4x20", 4)], bag="8"),
        step("T18", "feet", fasteners=[screws(4, kind="rh wood screw 3.5x20"), renewed("rubber foot", 4)], bag="9"),
        step("T20", "bottom", fasteners=[scrapped("nail 25", 10)]),
    )


def the_radio() -> Unit:
    return unit(
        *the_steps(),
        arrival=Arrival(
            make_or_break=(
                MakeOrBreak(what="windings continuous", passed=True),
                MakeOrBreak(what="test the output transformer", minutes=18, before="B01"),
            )
        ),
        components=[
            component("CF", "filter and coupling capacitors", quantity=5, disposition=Disposition.RENEW),
            component("SP", "speaker", disposition=Disposition.KEEP),
        ],
        parts=[
            part(
                "N1",
                "chassis bushes, set of 8",
                8,
                fastener="rubber bush",
                for_steps=["T11"],
                price=estimate("6", "8.40", "12"),
            ),
            part("N2", "rubber feet", 4, fastener="rubber foot", for_steps=["T18"], price=estimate("0", "3.20", "4")),
            part("N3", "mains cord and entry bush", for_steps=["T09"], price=estimate("5", "6.50", "9")),
            part("N4", "grille cloth", for_steps=["T17"], price=estimate("6", "9", "14")),
            part("N5", "capacitor set", 5, for_components=["CF"], price=estimate("11", "14", "20")),
            part("N6", "output transformer", only_if="only if open", price=estimate("0", "0", "38")),
            part("N7", "valve", only_if="only if weak", price=estimate("0", "0", "12")),
        ],
        case=the_case(),
        operations=[
            operation(code, code, hours_of(*three), stands_for=_STANDS_FOR.get(code, ()))
            for code, three in _HOURS.items()
        ],
        consumables=list(the_consumables()),
        cost_lines=[CostLine(code="S", name="shipping", price=estimate("5", "7.95", "15"))],
        comparators=[
            comparator("NEW", ComparatorKind.NEW, "129.00", "12.40", ready="3 days"),
            comparator("RES", ComparatorKind.USED_RESTORED, "180", "25", ready="10 days"),
            comparator("ASIS", ComparatorKind.USED_AS_IS, "60", "20", ready="7 days", risk="repair risk"),
            Comparator(
                code="PARTS",
                kind=ComparatorKind.SELL_PARTS,
                sales=tuple(
                    SaleLine(what=w, price=Decimal(p)) for w, p in (("valves", "25"), ("speaker", "12"), ("knobs", "8"))
                ),
                fee_percent=Decimal(15),
            ),
            comparator("SELL", ComparatorKind.SELL_REBUILT, "150", fee_percent=Decimal(12)),
        ],
        stop_lines=[StopLine(amount=Decimal("100.00"))],
        spent=[
            Spent(what="found on a kerb", amount=Decimal("10.00")),
            Spent(what="test leads", amount=Decimal("3.50")),
        ],
        minutes_worked=270,
    )


def comparator(code: str, kind: ComparatorKind, price: str, delivery: str = "", **more: object) -> Comparator:
    return Comparator(
        code=code, kind=kind, price=Decimal(price), delivery=Decimal(delivery) if delivery else None, **more
    )
