"""What each command can be told besides its name: one small function for each, and which forms its output has."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping

AS_JSON = (
    "bench",
    "reassembly",
    "bom",
    "to-buy",
    "cost",
    "panels",
    "layout",
    "pile",
    "plan",
    "now",
    "screw",
    "check",
    "join",
)
"""Commands that print text of some width, or JSON."""

AS_CSV = ("bom", "to-buy", "cost", "panels", "pile")
"""Commands that print a table for a spreadsheet as well."""


def columns_wanted(text: str) -> int:
    """A number of columns. Raises ArgumentTypeError for anything else."""
    if not (text.isascii() and text.isdigit() and 40 <= int(text[:9]) <= 200):
        raise argparse.ArgumentTypeError(f"“{text[:40]}” is not a number of columns from 40 to 200")
    return int(text)


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1024 <= int(text[:9]) <= 65535):
        raise argparse.ArgumentTypeError(f"“{text[:40]}” is not a port from 1024 to 65535")
    return int(text)


def _of_unit(to: argparse.ArgumentParser) -> None:
    to.add_argument("unit", metavar="UNIT", help="code of the unit, such as R1")


def _of_unit_or_all(to: argparse.ArgumentParser) -> None:
    to.add_argument("unit", metavar="UNIT", nargs="?", default="", help="code of a unit; without it, all")


def _reassembly(to: argparse.ArgumentParser) -> None:
    _of_unit(to)
    to.add_argument(
        "--ready", action="store_true", help="only what can be done now, in an order that respects the relations"
    )


def _cost(to: argparse.ArgumentParser) -> None:
    _of_unit(to)
    to.add_argument(
        "--taken", action="store_true", help="what was paid and taken against the estimate, and what that suggests"
    )


def _screw(to: argparse.ArgumentParser) -> None:
    to.add_argument("diameter", metavar="DIAMETER", help="outside, over the threads: 4.9, 3/16")
    to.add_argument("--pitch", default="", help="from thread to thread, 0.8, or 32 tpi")
    to.add_argument("--length", default="", help="as the diameter")
    to.add_argument("--count", default="", help="how many of them lie loose")
    to.add_argument("--kind", default="", help="wood or machine")
    to.add_argument("--unit", default="", metavar="UNIT", help="look in this unit only, not in all")


def _export(to: argparse.ArgumentParser) -> None:
    to.add_argument("unit", metavar="UNIT", help="code of the unit, or “shop”")


def _import(to: argparse.ArgumentParser) -> None:
    to.add_argument("file", metavar="FILE", help="the document; “-” reads the standard input")
    to.add_argument("--as", dest="as_code", metavar="CODE", help="take the unit in under this code")


def _join(to: argparse.ArgumentParser) -> None:
    to.add_argument("other", metavar="OTHER", help="folder of another book or of a unit, or a copy of a record's file")
    to.add_argument("--dry-run", action="store_true", help="only say what would happen")


def _pile(to: argparse.ArgumentParser) -> None:
    to.add_argument(
        "--import", dest="take_in", metavar="FILE", default="",
        help="take pieces in from such a table, all rows or none; known numbers are changed; “-” reads the input",
    )  # fmt: skip
    orders = ("number", "material", "size", "oldest", "value", "place")
    to.add_argument("--order", dest="by_order", choices=orders, default="number", help="in which order the text stands")


def _layout(to: argparse.ArgumentParser) -> None:
    to.add_argument("unit", metavar="UNIT", nargs="?", default="", help="code of the unit, for its parts on the pile")
    to.add_argument("--parts", metavar="FILE", help="table of parts (CSV): code, quantity, length_mm, width_mm ...")
    to.add_argument("--offcuts", metavar="FILE", help="table of offcuts (CSV): code, material, thickness_mm ...")
    to.add_argument("--kerf", metavar="MM", help="width of the saw cut (3)")
    to.add_argument("--trim", metavar="MM", help="cut off to true an edge or square an end (5)")
    to.add_argument("--thickness-tolerance", metavar="MM", help="how far a thickness may be off (0.2)")
    to.add_argument("--seconds", metavar="N", help="search so long, then give the best so far")
    to.add_argument("--seed", type=int, metavar="N", help="another number searches in another order (1)")


def _rounds(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:9]) <= 100_000):
        raise argparse.ArgumentTypeError(f"“{text[:40]}” is not a whole number from 1 to 100000")
    return int(text)


def _to_buy(to: argparse.ArgumentParser) -> None:
    _of_unit_or_all(to)
    to.add_argument("--here", metavar="THING", default="", help="it has come: a thing, or all from a seller, by name")
    to.add_argument("--paid", metavar="AMOUNT", help="with --here: what was paid; “?” when it is not known")


def _plan(to: argparse.ArgumentParser) -> None:
    to.add_argument("--ics", metavar="FILE", help="write a calendar file (RFC 5545) instead; “-” prints it")
    to.add_argument("--replace", action="store_true", help="replace a calendar file that is there")
    to.add_argument(
        "--improve", type=_rounds, metavar="N", default=0, help="rounds of improving; the same N, the same plan"
    )
    to.add_argument("--seconds", type=_rounds, metavar="S", default=0, help="or improve for so many seconds")
    to.add_argument("--weeks", type=_rounds, metavar="N", help="print only so many weeks")
    to.add_argument("--basis", choices=("low", "likely", "expected", "high"), default="likely", help="which busy times")
    to.add_argument("--recorded", action="store_true", help="only work that is written down as an operation")
    to.add_argument("--anew", action="store_true", help="start over instead of moving little of the plan that was kept")
    to.add_argument("--keep", action="store_true", help="keep this plan, so that the next one moves little of it")


def _now(to: argparse.ArgumentParser) -> None:
    to.add_argument("minutes", metavar="MINUTES", nargs="?", default="30", help="30, 1:30 or 1.5h (30)")


def _serve(to: argparse.ArgumentParser) -> None:
    to.add_argument("--browser", action="store_true", help="the interface in a browser, for a tablet")
    to.add_argument("--network", action="store_true", help="listen on the local network, not only here")
    to.add_argument("--port", type=_port, default=8437, metavar="N", help="port of the browser form (8437)")


def _photos(to: argparse.ArgumentParser) -> None:
    what = to.add_subparsers(dest="what", metavar="WHAT", title="what to do", parser_class=type(to), required=True)

    def add(name: str, help_: str) -> argparse.ArgumentParser:
        made = what.add_parser(name, help=help_, description=f"{help_[:1].upper()}{help_[1:]}.", allow_abbrev=False)
        made.add_argument("--book", metavar="DIR", default=argparse.SUPPRESS, help="folder of the book")
        made.add_argument("--by", metavar="INITIALS", default=argparse.SUPPRESS, help="who writes, for the history")
        made.add_argument("--json", dest="as_json", action="store_true", help="as JSON, for machines")
        made.add_argument("--width", type=columns_wanted, metavar="N", help="columns of the text, 40 to 200 (80)")
        return made

    link = add("link", "propose to which step each photo of a folder belongs; --keep links them")
    link.add_argument("folder", metavar="FOLDER", help="folder with the phone's pictures; it is not changed")
    link.add_argument("units", metavar="UNIT", nargs="*", help="units they may show; without any, all")
    link.add_argument(
        "--keep", choices=("certain", "likely", "all"), help="link what is certain; likely too; or unsure ones as well"
    )
    link.add_argument("--clock", metavar="ERROR", help="how far the camera's clock is fast: +3:20 or -0:45")
    link.add_argument("--clock-picture", metavar="FILE", help="a picture of a clock that is right, with --shows")
    link.add_argument("--shows", metavar="TIME", help="what the clock in that picture shows: 21:04:10")
    link.add_argument("--no-cards", action="store_true", help="do not look for cards in the pictures; faster")
    for name, help_ in (
        ("orphans", "list photos that belong to no step, and steps that lack their photo"),
        ("check", "read every original and compare it with its checksum; 1 when one is changed or gone"),
    ):
        _of_unit_or_all(add(name, help_))
    export = add("export", "copy a unit's photos into a folder, with their captions and without the place they show")
    _of_unit(export)
    export.add_argument("folder", metavar="FOLDER", help="an empty folder, made when it is not there")
    export.add_argument("--with-place", action="store_true", help="leave in what the camera wrote, such as the place")


PAPERS = ("reassembly", "decision", "bom", "labels", "cuts", "record", "case")
FORMS = ("pdf", "txt", "md", "html", "csv")


def _print(to: argparse.ArgumentParser) -> None:
    to.add_argument("unit", metavar="UNIT", help="code of the unit, such as R1; “shop” for labels of offcuts and jars")
    to.add_argument("what", metavar="WHAT", choices=PAPERS, help=", ".join(PAPERS))
    to.add_argument(
        "--as", dest="form", choices=FORMS, help="the form: pdf (when nothing else is said), txt, md, html, csv"
    )
    to.add_argument("--to", metavar="FILE", help="where to; “-” is the output. A pipe needs no --to")
    to.add_argument("--replace", action="store_true", help="replace a file that is there")
    to.add_argument("--paper", choices=("a4", "letter"), default="a4", help="size of the paper (a4)")
    to.add_argument("--large", action="store_true", help="large type")
    to.add_argument(
        "--kind", metavar="KINDS", help="labels for: bag, box, wire, part, offcut, jar, card; several with commas"
    )
    to.add_argument("--sheet", metavar="NAME", default="a4-3x7", help="label sheet, by its name in label_sheets.json")
    to.add_argument("--start", type=int, metavar="N", default=1, help="first free label of a used sheet")
    to.add_argument("--outline", action="store_true", help="draw the edges of the labels, to cut them out")
    to.add_argument("--width", type=columns_wanted, metavar="N", help="columns of plain text, 40 to 200 (80)")


def _ticks(to: argparse.ArgumentParser) -> None:
    _of_unit(to)
    how = "the lines that are ticked: A01-A07,A09 or 1-7,9; what was read in brackets behind its line: "
    how += "'A01 (452.0)'; behind them v12, the version that is printed on the paper"
    to.add_argument("lines", metavar="LINES", nargs="+", help=how)
    to.add_argument(
        "--version-on-paper", dest="version", type=int, metavar="N", help="the version that is printed on the paper"
    )
    to.add_argument("--although", metavar="WHY", default="", help="why lines are done that are not ready")


def _starters(to: argparse.ArgumentParser) -> None:
    to.add_argument("name", metavar="NAME", nargs="?", default="", help="show one in full")
    to.add_argument("--json", dest="as_json", action="store_true", help="as JSON, to copy and change")


def _guide(to: argparse.ArgumentParser) -> None:
    to.add_argument("topic", metavar="TOPIC", nargs="?", default="", help="the page; without it, the list of pages")
    to.add_argument("--width", type=columns_wanted, metavar="N", help="columns of the text, 40 to 200 (80)")


OPTIONS: Mapping[str, Callable[[argparse.ArgumentParser], None]] = {
    "reassembly": _reassembly,
    "bom": _of_unit,
    "to-buy": _to_buy,
    "cost": _cost,
    "panels": _of_unit,
    "layout": _layout,
    "pile": _pile,
    "plan": _plan,
    "now": _now,
    "screw": _screw,
    "print": _print,
    "ticks": _ticks,
    "starters": _starters,
    "guide": _guide,
    "check": _of_unit_or_all,
    "photos": _photos,
    "serve": _serve,
    "import": _import,
    "export": _export,
    "join": _join,
}
"""Which command can be told what."""
