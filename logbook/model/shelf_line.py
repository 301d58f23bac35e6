"""A thing for the shelf from one line of plain words: `PVA glue, 250 ml, shelf 2`, `30 nail 25, jar 2`.

The first phrase is its name, whole: a figure in it is a size, as in “nail 25”. How much there is stands in front of the
name, behind it with a unit, or in a phrase of its own. A jar, tin, box, drawer, rack or shelf is where it stands.
“Jar of wood screws 4x30” is called as the bench calls what is taken out of it, “wood screw 4x30”.
"""

from __future__ import annotations

import re
from typing import Any

from logbook.model.fields import fields_of
from logbook.model.one_line import LIKE_MONEY, RecordReading, phrases_of, read_line
from logbook.model.shop import Consumable
from logbook.model.typed_values import NO_CONTEXT, Context, parsed_number

_UNITS = "ml|l|g|kg|m|mm|cm|m2|pcs|pieces|sheets?|rolls?|tubes?|sticks?|pairs?"
_NUMBER = r"\d+(?:[.,]\d+)?"
_AMOUNT = re.compile(rf"(?P<number>{_NUMBER})(?: ?(?P<unit>{_UNITS}))?", re.IGNORECASE)
_IN_FRONT = re.compile(rf"(?P<number>{_NUMBER}) (?:(?P<unit>{_UNITS})(?: of)? )?(?P<name>[^\W\d].*)", re.IGNORECASE)
_BEHIND = re.compile(rf"(?P<name>.*[^\W\d].*?) (?P<number>{_NUMBER}) ?(?P<unit>{_UNITS})", re.IGNORECASE)
_JAR_OF = re.compile(r"(?:an? )?(?:jar|tin|box|bag|packet|pack|tub|drawer)(?: full)? of (?=\S)", re.IGNORECASE)
_SEVERAL = re.compile(r"\b(?P<one>[^\W\d]{2,}[^\W\ds])s(?= (?:M\d|\d+(?:[.,]\d+)? ?[x×] ?\d))", re.IGNORECASE)
"""A word in the plural before a size, as in “screws 4x30”; fasteners are called by one of them."""
_PLACE = re.compile(r"(?:jar|tin|box|drawer|rack|shelf|cupboard)(?: \S+){0,3}", re.IGNORECASE)


def shelf_reading(text: str, context: Context = NO_CONTEXT, *, like: Consumable | None = None) -> RecordReading:
    """What a line says about a thing for the shelf.

    Args:
        text: anything that can be typed.
        context: what days and amounts are read against.
        like: a thing that this one is a copy of; the line then says only what differs.
    """
    phrases = phrases_of(text)
    labels = tuple(f"{field.label} " for field in fields_of(Consumable))
    only_differs = like is not None and phrases and (_AMOUNT.fullmatch(phrases[0]) or phrases[0].startswith(labels))
    if not phrases or only_differs:
        return read_line(Consumable, text, context, like=like)
    given: dict[str, Any] = {"name": phrases[0]}
    amount = next((p for p in phrases[1:] if _AMOUNT.fullmatch(p) and not LIKE_MONEY.fullmatch(p)), "")
    price = next((p for p in phrases[1:] if LIKE_MONEY.fullmatch(p)), "")
    if price:
        asked = f"“{price}”: is it how much there is, or what it costs? Say stock {price}, or pack 500 {price}."
        return read_line(Consumable, phrases[0], context, like=like, given=given)._replace(problem=asked)
    found = _AMOUNT.fullmatch(amount) or _IN_FRONT.fullmatch(phrases[0]) or _BEHIND.fullmatch(phrases[0])
    if found is not None:
        given |= {"name": found.groupdict().get("name") or phrases[0], "stock": parsed_number(found["number"])}
        given |= {"unit": found["unit"]} if found["unit"] else {}
    place = next((p for p in phrases[1:] if _PLACE.fullmatch(p)), "")
    given["name"] = _SEVERAL.sub(r"\g<one>", _JAR_OF.sub("", given["name"], count=1))
    given |= {"place": place} if place else {}
    rest = [p for p in phrases[1:] if p not in (amount, place)]
    return read_line(Consumable, ", ".join(rest), context, like=like, given=given)
