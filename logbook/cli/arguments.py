"""The words of the command line, and what is said when they are mistyped."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterable, Sequence
from difflib import get_close_matches
from typing import Any, NoReturn

from logbook import __version__
from logbook.cli.options import AS_CSV, AS_JSON, OPTIONS, columns_wanted
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
    if wrong:
        known = [word.strip(" '\"") for word in wrong["known"].split(",")]
        meant = near(wrong["given"], known) or f" It is one of {', '.join(known)}."
        return f"{wrong['where']}: there is no “{wrong['given']}”.{meant} See “{program} --help”."
    words = message[:1].upper() + message[1:]
    return f"{words}. See “{program} --help”."


def near(given: str, known: Iterable[str]) -> str:
    """A sentence that names what was perhaps meant, with a space before it; empty when nothing is near."""
    found = get_close_matches(given.lower(), [k.lower() for k in known], n=3, cutoff=0.5)
    meant = [k for k in known if k.lower() in found]
    return f" Did you mean {' or '.join(meant)}?" if meant else ""


COMMANDS = {
    "demo": "make the demo book if it is not there, and open it (without a terminal: print it)",
    "lesson": "learn it in eight short tasks, in a book of its own; go on where it was left",
    "guide": "how things are done, a page a topic: the bench line, holds, the pile, costs, keys ...",
    "bench": "all units: what now, what waits, what must not be forgotten",
    "reassembly": "the list to put a unit back together, fit to take to the bench",
    "bom": "the bill of materials of a unit",
    "to-buy": "what is to buy over all units or for one, by seller, with packs and parcels shared",
    "cost": "costs and hours still to come, and what could be done instead",
    "plan": "the plan over all units: who is worked on when, what waits, when each unit ends",
    "now": "what can be done in the next minutes, windows that run, what must not be forgotten",
    "screw": "which thread a loose screw has, and where it belongs",
    "layout": "lay parts out on offcuts: where each lies, the cuts in order, what is left",
    "pile": "the scrap pile: pieces, who wants them; as a table out, and in",
    "panels": "the case of a unit: held dimensions, panels, what follows from them, cut list",
    "print": "a list, labels, cut sheets or the build record, as PDF, text, Markdown, a web page or a table",
    "ticks": "enter the ticks made on a printed reassembly list",
    "starters": "kinds of object to start from: usual hazards, questions on arrival, hold points, tests",
    "check": "check the records of one unit or of the whole book, and the book itself",
    "photos": "link a folder of photos to the steps they show; list, check or copy out what is linked",
    "serve": "open the interface with the page for a phone, or the whole interface in a browser",
    "import": "take in a unit or the shop from a JSON document",
    "join": "join with another copy of the book, or of a unit, that went its own way",
    "export": "print a unit or the shop as a JSON document",
    "schema": "print the JSON Schema of these documents",
}
"""Every command with what it does."""


def parser() -> argparse.ArgumentParser:
    """The parser of the whole command line."""
    return parsers()[0]


def parsers() -> tuple[argparse.ArgumentParser, dict[str, _Parser]]:
    """The parser of the whole command line, and that of each command."""
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
    for name, with_options in OPTIONS.items():
        with_options(made[name])
    for name in AS_JSON:
        made[name].add_argument("--json", dest="as_json", action="store_true", help="as JSON, for machines")
        made[name].add_argument("--width", type=columns_wanted, metavar="N", help="columns of the text, 40 to 200 (80)")
    for name in AS_CSV:
        made[name].add_argument("--csv", dest="as_csv", action="store_true", help="as CSV, for a spreadsheet")
    return top, made


def _common(to: argparse.ArgumentParser, default: str | None) -> None:
    to.add_argument("--book", metavar="DIR", default=default, help="folder of the book")
    to.add_argument("--by", metavar="INITIALS", default=default, help="who writes, for the history and the ticks")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:] + "."


def read(argv: Sequence[str] | None) -> argparse.Namespace:
    """The options in `argv`. Raises InputError with one sentence when they cannot be understood."""
    top, commands = parsers()
    options, unknown = top.parse_known_args(argv)
    if unknown:
        raise InputError(_unknown(unknown[0].partition("=")[0], commands.get(options.command or "", top)))
    return options


def _unknown(given: str, own: argparse.ArgumentParser) -> str:
    """What is said of a word that the command does not know, with the option that was perhaps meant."""
    what, meant = "word", ""
    if given.startswith("-"):
        names = [name.strip("-") for name in re.findall(r"--[a-z-]+", own.format_help())]
        found = get_close_matches(given.strip("-"), names, n=1)
        what, meant = "option", f" Did you mean --{found[0]}?" if found else ""
    return f"The {what} “{given}” is not known here.{meant} See “{own.prog} --help”."
