"""A phrase for a record inside another one, put as a line of it: its labels part it where no comma can.

back dado 6 deep slack 0.5        back dado, depth 6, slack 0.5
6 deep 4 wide for the back        back, depth 6, width 4
"""

from __future__ import annotations

import re
from types import MappingProxyType

from logbook.model.base import Frozen
from logbook.model.fields import Field, FieldKind, offered_fields
from logbook.model.usual_fields import leading_fields

_ADJECTIVES = MappingProxyType({"deep": "depth", "wide": "width"})
"""How a size is said behind its figure, and the field that it is for: “6 deep”."""
_FOR_WHAT = frozenset({"Groove"})
"""Kinds of things that are named by what they are for: the groove for the back."""
_FOR = re.compile(r"(?P<sizes>.*?)[\s,]*\bfor (?:the )?(?P<name>[^,\d]+)(?P<more>,.*)?", re.IGNORECASE | re.DOTALL)
_FIGURE_BEHIND = re.compile(r"^(?P<name>[^,\d]+) (?P<depth>\d[\d./]*(?: mm| in)?)(?=,|$)")


def parted(kind: type[Frozen], words: str) -> str:
    """The words with a comma before each label of the record, as its line has them."""
    labels = {f.label for f in offered_fields(kind)} - {f.label for f in leading_fields(kind)}
    for adjective, label in _ADJECTIVES.items():
        if label in labels:
            words = re.sub(rf"(\d[\d./]*(?: mm| in)?) {adjective}\b", rf"{label} \1", words)
    if labels:
        before = "|".join(re.escape(label) for label in sorted(labels, key=len, reverse=True))
        words = re.sub(rf"(?<!^)[\s,]+(?=(?:{before})(?:\s|,|$))", ", ", words)
    return _named_first(words) if kind.__name__ in _FOR_WHAT else words


def is_named_by_what_for(kind: type[Frozen]) -> bool:
    """Whether such a thing is named by what it is for."""
    return kind.__name__ in _FOR_WHAT


def _named_first(words: str) -> str:
    """`depth 6, for the back` as `back, depth 6`; a figure behind the name is the depth."""
    found = _FOR.fullmatch(words.strip())
    if found is not None:
        sizes = found["sizes"].strip(" ,")
        words = ", ".join(filter(None, [found["name"].strip(), sizes, (found["more"] or "").strip(" ,")]))
    return _FIGURE_BEHIND.sub(lambda m: f"{m['name']}, depth {m['depth']}", words)


def inner_label(phrase: str, field: Field) -> str:
    """The label of the record inside a field that a phrase begins with, or ends with as an adjective; else nothing."""
    if field.record is None or field.kind not in (FieldKind.RECORD, FieldKind.RECORDS):
        return ""
    leading = {f.label for f in leading_fields(field.record)}
    labels = [f.label for f in offered_fields(field.record) if f.label not in leading and f.kind is FieldKind.LENGTH]
    small = phrase.casefold()
    for label in labels:
        adjective = next((a for a, of in _ADJECTIVES.items() if of == label), "")
        behind = adjective and re.fullmatch(rf"\d[\d./]*(?: mm| in)? {adjective}", small)
        if behind or re.fullmatch(rf"{re.escape(label)}[ :=]+\d.*", small):
            return label
    return ""
