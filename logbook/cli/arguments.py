"""The words of the command line, and what is said when they are mistyped."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterable, Sequence
from difflib import get_close_matches
from typing import Any, NoReturn

from logbook import __version__
from logbook.cli.output import write
from logbook.errors import InputError

ABOUT = """\
A logbook for taking salvaged objects apart, keeping what is good, and putting everything back.
Without a command it opens the interface on your book."""

AFTER = """\
Exit codes: 0 done, 1 a check found something, 2 bad use or bad input.
The book is the folder of --book, else of the environment variable LOGBOOK_BOOK, else one in your data folder.
Local codes and licensed practice come first."""


class _Parser(argparse.ArgumentParser):
    """Says mistakes as one sentence, and leaves the ending to the caller."""

    def error(self, message: str) -> NoReturn:
        raise InputError(_sentence(message, self.prog))

    def _print_message(self, message: str, file: Any = None) -> None:
        write(message, file)


def _sentence(message: str, program: str) -> str:
    wrong = re.search(
        r"argument (?P<where>[^:]+): invalid choice: '(?P<given>.*?)' \(choose from (?P<known>.*)\)", message
    )
    if wrong and wrong["where"] == "COMMAND":
        return f"There is no command “{wrong['given']}”.{near(wrong['given'], COMMANDS)} See “logbook --help”."
    words = message[:1].upper() + message[1:]
    return f"{words}. See “{program} --help”."


def near(given: str, known: Iterable[str]) -> str:
    """A sentence that names what was perhaps meant, with a space before it; empty when nothing is near."""
    found = get_close_matches(given.lower(), [k.lower() for k in known], n=3, cutoff=0.5)
    meant = [k for k in known if k.lower() in found]
    return f" Did you mean {' or '.join(meant)}?" if meant else ""


COMMANDS = {
    "demo": "make the demo book if it is not there, and open it (without a terminal: print it)",
    "bench": "all units: what now, what waits, what must not be forgotten",
    "reassembly": "the list to put a unit back together, fit to take to the bench",
    "bom": "the bill of materials of a unit",
    "to-buy": "what is to buy over all units or for one, by seller, with packs and parcels shared",
    "cost": "costs and hours still to come, and what could be done instead",
    "print": "a list, labels or the build record, as PDF, text, Markdown, a web page or a table",
    "ticks": "enter the ticks made on a printed reassembly list",
    "starters": "kinds of object to start from: usual hazards, questions on arrival, hold points, tests",
    "layout": "lay parts out on offcuts: where each lies, the cuts in order, what is left",
    "pile": "the scrap pile: pieces, who wants them; as a table out, and in",
    "panels": "the case of a unit: held dimensions, panels, what follows from them, cut list",
    "screw": "which thread a loose screw has, and where it belongs",
    "check": "check the records of one unit or of the whole book, and the book itself",
    "photos": "link a folder of photos to the steps they show; list, check or copy out what is linked",
    "serve": "open the interface with the page for a phone, or the whole interface in a browser",
    "import": "take in a unit or the shop from a JSON document",
    "export": "print a unit or the shop as a JSON document",
    "schema": "print the JSON Schema of these documents",
}
"""Every command with what it does."""


def parser() -> argparse.ArgumentParser:
    """The parser of the whole command line."""
    top = _Parser(
        prog="logbook", description=ABOUT, epilog=AFTER, allow_abbrev=False,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    top.add_argument("--version", action="version", version=f"logbook {__version__}")
    _common(top, None)
    after = _Parser(add_help=False)
    _common(after, argparse.SUPPRESS)
    commands = top.add_subparsers(dest="command", metavar="COMMAND", title="commands", parser_class=_Parser)
    made = {
        name: commands.add_parser(name, help=help_, description=_capital(help_), parents=[after], allow_abbrev=False)
        for name, help_ in COMMANDS.items()
    }
    for name in ("reassembly", "bom", "cost", "panels"):
        made[name].add_argument("unit", metavar="UNIT", help="code of the unit, such as R1")
    made["check"].add_argument("unit", metavar="UNIT", nargs="?", default="", help="code of a unit; without it, all")
    _print(made["print"])
    made["ticks"].add_argument("unit", metavar="UNIT", help="code of the unit, such as R1")
    made["ticks"].add_argument("lines", metavar="LINES", help="the lines that are ticked: A01-A07,A09 or 1-7,9")
    made["ticks"].add_argument(
        "--version-on-paper", dest="version", type=int, metavar="N", help="the record version on the paper"
    )
    made["ticks"].add_argument("--although", metavar="WHY", default="", help="why lines are done that are not ready")
    made["starters"].add_argument("name", metavar="NAME", nargs="?", default="", help="show one in full")
    made["starters"].add_argument("--json", dest="as_json", action="store_true", help="as JSON, to copy and change")
    made["to-buy"].add_argument("unit", metavar="UNIT", nargs="?", default="", help="code of a unit; without it, all")
    made["export"].add_argument("unit", metavar="UNIT", help="code of the unit, or “shop”")
    made["reassembly"].add_argument(
        "--ready", action="store_true", help="only what can be done now, in an order that respects the relations"
    )
    screw = made["screw"]
    screw.add_argument("diameter", metavar="DIAMETER", help="outside, over the threads: 4.9, 3/16")
    screw.add_argument("--pitch", default="", help="from thread to thread, 0.8, or 32 tpi")
    screw.add_argument("--length", default="", help="as the diameter")
    screw.add_argument("--count", default="", help="how many of them lie loose")
    screw.add_argument("--kind", default="", help="wood or machine")
    screw.add_argument("--unit", default="", metavar="UNIT", help="look in this unit only, not in all")
    made["import"].add_argument("file", metavar="FILE", help="the document; “-” reads the standard input")
    made["import"].add_argument("--as", dest="as_code", metavar="CODE", help="take the unit in under this code")
    _layout(made["layout"])
    _pile(made["pile"])
    made["cost"].add_argument(
        "--taken", action="store_true", help="what was paid and taken against the estimate, and what that suggests"
    )
    for name in ("bom", "to-buy", "cost"):
        made[name].add_argument("--csv", dest="as_csv", action="store_true", help="as CSV, for a spreadsheet")
    for name in ("bench", "reassembly", "bom", "to-buy", "cost", "screw", "panels", "layout", "pile", "check"):
        made[name].add_argument("--json", dest="as_json", action="store_true", help="as JSON, for machines")
        made[name].add_argument("--width", type=_width, metavar="N", help="columns of the text, 40 to 200 (80)")
    _photos(made["photos"])
    made["serve"].add_argument("--browser", action="store_true", help="the interface in a browser, for a tablet")
    made["serve"].add_argument("--network", action="store_true", help="listen on the local network, not only here")
    made["serve"].add_argument("--port", type=_port, default=8437, metavar="N", help="port of the browser form (8437)")
    made["panels"].add_argument("--csv", dest="as_csv", action="store_true", help="the cut list as CSV")
    return top


PAPERS = ("reassembly", "decision", "bom", "labels", "cuts", "record")
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
    to.add_argument("--width", type=_width, metavar="N", help="columns of plain text, 40 to 200 (80)")


def _pile(to: argparse.ArgumentParser) -> None:
    to.add_argument("--csv", dest="as_csv", action="store_true", help="as a table (CSV)")
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


def _photos(to: argparse.ArgumentParser) -> None:
    """The four things to do with photos."""
    after = _Parser(add_help=False)
    _common(after, argparse.SUPPRESS)
    after.add_argument("--json", dest="as_json", action="store_true", help="as JSON, for machines")
    after.add_argument("--width", type=_width, metavar="N", help="columns of the text, 40 to 200 (80)")
    what = to.add_subparsers(dest="what", metavar="WHAT", title="what to do", parser_class=_Parser, required=True)

    def add(name: str, help_: str) -> argparse.ArgumentParser:
        return what.add_parser(name, help=help_, description=_capital(help_), parents=[after], allow_abbrev=False)

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
        add(name, help_).add_argument("unit", metavar="UNIT", nargs="?", default="", help="code; without it, all")
    export = add("export", "copy a unit's photos into a folder, with their captions and without the place they show")
    export.add_argument("unit", metavar="UNIT", help="code of the unit")
    export.add_argument("folder", metavar="FOLDER", help="an empty folder, made when it is not there")
    export.add_argument("--with-place", action="store_true", help="leave in what the camera wrote, such as the place")


def _common(to: argparse.ArgumentParser, default: str | None) -> None:
    to.add_argument("--book", metavar="DIR", default=default, help="folder of the book")
    to.add_argument("--by", metavar="INITIALS", default=default, help="who writes, for the history and the ticks")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:] + "."


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1024 <= int(text[:9]) <= 65535):
        raise argparse.ArgumentTypeError(f"“{text[:40]}” is not a port from 1024 to 65535")
    return int(text)


def _width(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 40 <= int(text[:9]) <= 200):
        raise argparse.ArgumentTypeError(f"“{text[:40]}” is not a number of columns from 40 to 200")
    return int(text)


def read(argv: Sequence[str] | None) -> argparse.Namespace:
    """The options in `argv`. Raises InputError with one sentence when they cannot be understood."""
    return parser().parse_args(argv)
