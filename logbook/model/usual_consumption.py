"""The usual consumption as an editable file: what glue, finish and abrasive take, and where each number comes from."""

from __future__ import annotations

from functools import cache

from pydantic import ValidationError

from logbook.errors import InputError
from logbook.model.base import Count, Frozen, Name, Text
from logbook.model.document import sentences
from logbook.model.measures import Number
from logbook.model.templates import template_bytes
from logbook.model.words import Measure, MixBy
from logbook.model.work import MixShare

FILE = "consumption.json"


class UsualUse(Frozen):
    """What one use of one consumable takes, as a start value."""

    name: Name
    """What it is used for: “PVA glue on faces”."""
    consumable: Name
    """Name as it would stand on the shelf."""
    unit: Text = ""
    """Unit of the need."""
    per: Text = ""
    """What the amount is counted in: “m2”, “m”, “joint”, “session”."""
    rate: Number | None = None
    """What one of `per` takes; or the coverage is given."""
    coverage: Number | None = None
    """What one unit of the consumable covers."""
    for_each_piece: Number | None = None
    """What each piece takes besides, such as 50 mm of band."""
    times: Count = 1
    """Coats, or other repeats."""
    waste_percent: Number | None = None
    range: Text = ""
    """Between which values it usually lies."""
    keeps_months: Count | None = None
    """Shelf life once opened."""
    parts: Number | None = None
    """Its own parts, when it is a mix; the rate is then that of the mix."""
    mixed_with: tuple[MixShare, ...] = ()
    parts_by: MixBy = MixBy.VOLUME
    measure: Measure | None = None
    """What of the record says how much; None: the person says it."""
    source: Name
    """Where the number comes from."""
    note: Text = ""


class UsualConsumptionFile(Frozen):
    """The file `consumption.json`."""

    note: Text = ""
    usual: tuple[UsualUse, ...]


@cache
def usual_consumption() -> UsualConsumptionFile:
    """The list as it stands in the file. Raises InputError when it is missing or cannot be used."""
    return read_usual(template_bytes(FILE))


def read_usual(raw: bytes, name: str = FILE) -> UsualConsumptionFile:
    """A list as edited by a person.

    Raises:
        InputError: it is not JSON of the right form, or an entry has both or neither of rate and coverage, one
            that is not above zero, half of a mix, or a name that stands there twice.
    """
    try:
        listed = UsualConsumptionFile.model_validate_json(raw)
    except ValidationError as error:
        raise InputError(sentences(error, name)) from error
    seen: set[str] = set()
    for u in listed.usual:
        if (u.rate is None) == (u.coverage is None):
            raise InputError(f"{name}: “{u.name}” needs a rate or a coverage, one of them.")
        if (u.rate or u.coverage or 0) <= 0:
            raise InputError(f"{name}: “{u.name}” has a rate or coverage that is not above zero.")
        if bool(u.mixed_with) != (u.parts is not None):
            raise InputError(f"{name}: “{u.name}” is a mix only with its own parts and what is mixed into it.")
        if u.name in seen:
            raise InputError(f"{name} has “{u.name}” twice.")
        seen.add(u.name)
    return listed
