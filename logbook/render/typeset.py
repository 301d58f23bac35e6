"""Print: a template of `templates/paper` and plain values become a PDF. typst sets it; it is an extra.

Words are handed over as data, so that nothing a person typed is ever markup. Characters that no font at hand
can show are found before anything is set, stand as their code on the paper, and are named to the caller.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from logbook.errors import InputError
from logbook.model.templates import template_bytes, template_folder

if TYPE_CHECKING:
    import typst

OWN_FONTS = "fonts"
"""The folder among the templates with the fonts that come along; East Asian scripts are left to the computer's own."""
FAMILIES = ("Noto Sans", "Noto Sans Arabic", "Noto Sans Hebrew", "Noto Sans Symbols", "Noto Emoji")
"""Asked first, in this order; then every other font at hand."""
ALWAYS = ("Libertinus Serif",)
"""What the engine brings itself, when no other font is there."""
_STANDARD = "a-2b"
"""PDF/A-2b (ISO 19005-2): a record that can be read in thirty years. It also refuses characters without a glyph."""


@dataclass(frozen=True, slots=True)
class Print:
    """A document as PDF."""

    pdf: bytes
    missing: tuple[str, ...] = ()
    """Characters that no font at hand can show; each stands as its code."""

    @property
    def notes(self) -> tuple[str, ...]:
        """What could not be shown, in a sentence; empty when all of it was."""
        return missing_sentences(self.missing)


def missing_sentences(missing: Iterable[str]) -> tuple[str, ...]:
    """A sentence that names characters without a glyph, and what to do."""
    codes = [f"{_shown(c)}" for c in missing]
    if not codes:
        return ()
    more = f" and {len(codes) - 12} more" if len(codes) > 12 else ""
    return (
        f"No font here can show {', '.join(codes[:12])}{more}; "
        f"{'its code stands' if len(codes) == 1 else 'their codes stand'} there instead. "
        "Put a font file that has it into the folder “fonts” of your data folder.",
    )


def _shown(char: str) -> str:
    name = unicodedata.name(char, "")
    return f"U+{ord(char):04X}{f' ({name.lower()})' if name else ''}"


def typeset(template: str, values: Mapping[str, Any], *, own: Path | None = None, root: Path | None = None) -> Print:
    """Set a template with plain values.

    Args:
        template: its name in `templates/paper`, such as `sheet.typ`.
        values: what it is given as JSON; the fonts are added.
        own: a person's own data folder, whose `templates/paper` and `fonts` come first.
        root: the folder that pictures are named in.

    Raises:
        InputError: typst is not installed, or the template cannot be used, with its name and line.
    """
    engine = _engine()
    source = paper_template(template, own)
    fonts, families, missing = _fonts_for(characters(values), _font_folders(own))
    values = {**values, "fonts": families}
    data = json.dumps(without(values, missing), ensure_ascii=False)
    try:
        pdf = engine.compile(
            source,
            root=root or Path(__file__).parent,
            font_paths=fonts,
            timestamp=0,
            sys_inputs={"data": data},
            pdf_standards=[_STANDARD],
        )
    except engine.TypstError as error:
        raise InputError(template_sentence(template, error.message, error.diagnostic, error.hints)) from error
    return Print(pdf, missing)


def paper_template(name: str, own: Path | None) -> bytes:
    """A template for paper: a person's own one of that name, else the one that came along.

    Raises:
        InputError: it is not there or cannot be read.
    """
    mine = own / "templates" / "paper" / name if own is not None else None
    if mine is not None and mine.is_file():
        try:
            return mine.read_bytes()
        except OSError as error:
            raise InputError(f"Your template {mine} cannot be read: {error.strerror}.") from error
    return template_bytes(f"paper/{name}")


def template_sentence(template: str, message: str, diagnostic: str, hints: Iterable[str] = ()) -> str:
    """What is wrong in a template, with its name and the line."""
    at = re.search(r"\.typ:(\d+):(\d+)", diagnostic or "")
    line = f", line {at[1]}, column {at[2]}" if at else ""
    advice = f" ({'; '.join(hints)})" if hints else ""
    return f"The template {template}{line} cannot be used: {message}{advice}."


@cache
def _engine() -> Any:
    """typst, which is heavy and an extra."""
    try:
        import typst
    except ImportError as error:
        raise InputError(
            'PDF needs the extra “paper”: pip install "restorers-logbook[paper]". '
            "The same document comes as text with --as txt, md, html or csv."
        ) from error
    return typst


def _font_folders(own: Path | None) -> tuple[str, ...]:
    """Folders with fonts: a person's own first, then the one that comes along."""
    folders = [own / "fonts"] if own is not None else []
    folders.append(template_folder(OWN_FONTS))
    return tuple(str(folder) for folder in folders if folder.is_dir())


def _fonts_for(text: str, folders: tuple[str, ...]) -> tuple[typst.Fonts, list[str], tuple[str, ...]]:
    """The fonts to set a text with, their families in order, and the characters that none of them can show.

    The computer's own fonts are asked only for what the fonts in the folders cannot show, so that a paper looks the
    same on every machine whenever it can.
    """
    engine = _engine()
    fonts = _fonts(folders, system=False)
    families = [family for family in FAMILIES if family in fonts.families()]
    families += ALWAYS
    missing = _missing(engine, fonts, families, text)
    if missing:
        fonts = _fonts(folders, system=True)
        missing = _missing(engine, fonts, families, text)
    return fonts, families, missing


@cache
def _fonts(folders: tuple[str, ...], *, system: bool) -> typst.Fonts:
    """The fonts of these folders, read once, with the computer's own ones or without."""
    fonts: typst.Fonts = _engine().Fonts(include_system_fonts=system, font_paths=list(folders))
    return fonts


# Characters without a glyph

_PROBE = b'#let d = json(bytes(sys.inputs.data))\n#set document(title: "-")\n#set text(font: d.fonts)\n#d.text\n'


def characters(value: Any) -> str:
    """Every character in plain values, once, in order."""
    return "".join(sorted(set("".join(_texts(value)))))


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for inner in value.values():
            yield from _texts(inner)
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from _texts(inner)


_COMMON = frozenset(map(chr, range(32, 127))) | {"\n", "\u200b"}
"""What every font here has, or what shows nothing."""


def _missing(engine: Any, fonts: typst.Fonts, families: list[str], text: str) -> tuple[str, ...]:
    """Which of these characters no font can show. The engine itself is asked, by halves."""
    return tuple(_asked(engine, fonts, tuple(families), "".join(c for c in text if c not in _COMMON)))


@cache
def _asked(engine: Any, fonts: typst.Fonts, families: tuple[str, ...], text: str) -> tuple[str, ...]:
    if not text or _can_show(engine, fonts, families, text):
        return ()
    if len(text) == 1:
        return (text,)
    half = len(text) // 2
    return _asked(engine, fonts, families, text[:half]) + _asked(engine, fonts, families, text[half:])


def _can_show(engine: Any, fonts: typst.Fonts, families: tuple[str, ...], text: str) -> bool:
    """Whether every one of these characters has a glyph; a combining mark is tried on a letter."""
    spaced = " ".join(f"a{c}" if unicodedata.combining(c) else c for c in text)
    data = json.dumps({"fonts": families, "text": spaced}, ensure_ascii=False)
    try:
        engine.compile(
            _PROBE,
            font_paths=fonts,
            timestamp=0,
            sys_inputs={"data": data},
            pdf_standards=[_STANDARD],
        )
    except engine.TypstError:
        return False
    return True


def without(value: Any, missing: Iterable[str]) -> Any:
    """Plain values with each of these characters replaced by its code."""
    table = {ord(c): f"‹U+{ord(c):04X}›" for c in missing}
    return _replaced(value, table) if table else value


def _replaced(value: Any, table: Mapping[int, str]) -> Any:
    if isinstance(value, str):
        return value.translate(table)
    if isinstance(value, Mapping):
        return {k: _replaced(v, table) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_replaced(v, table) for v in value]
    return value
