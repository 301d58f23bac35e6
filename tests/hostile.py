"""Text that tries to break a screen, a file or a terminal, and records filled with it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import cycle
from typing import Any

from logbook.model.base import Frozen
from logbook.model.fields import FieldKind, fields_of

HOSTILE = {
    "close tag": "leg [/left]",
    "attribute": "[oak=2]",
    "pair": "drawer [top] runner [L]",
    "bare close": "x [/] y",
    "open quote": "x [a='b y",
    "click": "[@click=app.quit]x[/]",
    "backslash": "a\\[b]",
    "style": "[bold red]x[/bold red]",
    "link": "[link=file:///etc/passwd]x[/link]",
    "variable": "[$primary]x",
    "escape clears": "a\x1b[2Jb",
    "escape writes": "a\x1b]52;c;aGk=\x07b",
    "C1": "a\x9b31mb",
    "bell": "a\x07b",
    "NUL": "a\x00b",
    "return": "abcdef\rX",
    "backspace": "ab\b\bX",
    "tab": "a\tb",
    "newline": "a\nb",
    "form feed": "a\x0b\x0cb",
    "delete": "a\x7fb",
    "next line": "a\x85b",
    "separators": "a\u2028b\u2029c",
    "override": "a\u202egnp.exe",
    "isolates": "a\u2067b\u2066c",
    "Hebrew": "רדיו 12V",
    "Arabic": "مذياع",
    "unseen": "a\u200bb\ufeffc\u2060d",
    "joined emoji": "\U0001f468\u200d\U0001f469\u200d\U0001f467 x",
    "variation": "\u26a0\ufe0f hot",
    "skin": "\U0001f44d\U0001f3fd ok",
    "flag": "\U0001f1e9\U0001f1ea",
    "tags": "a\U000e0041\U000e0042b",
    "Chinese": "漢字テスト" * 20,
    "piled marks": "Z" + "\u0300\u0301\u0302" * 30,
    "not a character": "a\uffffb",
    "long word": "x" * 10_000,
    "long words": "word " * 2000,
    "many lines": "x\n" * 2000,
    "formula": "=HYPERLINK(A1)",
    "blank": "   ",
}
"""Name to text; common tricks, from memory and from what terminals are known to obey."""

_KEPT = frozenset(
    {
        "code", "earlier", "later", "each_of", "inside", "came_out_at", "member", "from_step", "for_steps", "after",
        "for_components", "components", "rebuilt_by", "line", "start", "mirror_of", "parts", "bag", "fastener", "kind",
        "step_letter", "before_steps", "with_units", "also",
    }
)  # fmt: skip
"""Names and references between records: changing them would make another record, not a hostile one."""


def filled(record: Any, texts: Iterator[str]) -> Any:
    """The record with every field of free words replaced by the next text, all the way down."""
    if isinstance(record, tuple):
        return tuple(filled(item, texts) for item in record)
    if not isinstance(record, Frozen):
        return record
    changes: dict[str, object] = {}
    for field in fields_of(type(record)):
        value = getattr(record, field.name)
        if field.kind is FieldKind.TEXT and field.name not in _KEPT:
            changes[field.name] = next(texts)
        elif field.kind is FieldKind.TEXTS and not field.choices and field.name not in _KEPT:
            changes[field.name] = (next(texts), next(texts))
        elif field.kind in (FieldKind.RECORD, FieldKind.RECORDS):
            changes[field.name] = filled(value, texts)
    return type(record)(**{**{f: getattr(record, f) for f in type(record).model_fields}, **changes})


def texts(start: int = 0) -> Iterator[str]:
    """The hostile texts for ever, beginning with another one each time."""
    every = list(HOSTILE.values())
    return cycle(every[start:] + every[:start])
