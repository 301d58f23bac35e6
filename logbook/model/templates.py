"""What the program brings along as editable files: the demo book and the usual hazards of each class of object.

The files lie in `templates/`: inside the package when it was installed, beside it in a checkout.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, timedelta
from functools import cache
from importlib.resources import files
from pathlib import Path, PurePosixPath

from pydantic import Field, TypeAdapter, ValidationError

from logbook.errors import InputError
from logbook.model.base import Frozen, Name, Text
from logbook.model.dangers import danger_key, is_provable
from logbook.model.dates import moved
from logbook.model.document import ShopDocument, UnitDocument, read_document, sentences
from logbook.model.step import Hazard, Photo

DEMO = ("shop", "R1", "G1", "C1", "L1")
"""The documents of the demo book: the shop first, then the main unit."""


class DemoPicture(Frozen):
    """A picture of the demo book; without a unit it still lies in the phone's folder, to try linking with."""

    unit: Text = ""
    step: Text = ""
    photo: Photo
    """Its `file` is the name among the templates."""


class HazardClass(Frozen):
    """A class of object with its usual hazards, to choose from on arrival."""

    name: Name = Field(alias="class")
    known_as: tuple[Name, ...] = ()
    """What people call objects of this class for which there is no starter: “kettle”, “toaster”."""
    also: tuple[Name, ...] = ()
    """Other classes whose hazards apply as well."""
    hazards: tuple[Hazard, ...] = ()
    note: Text = ""


class HazardList(Frozen):
    """The file `hazards.json`."""

    note: Text = ""
    """What holds for every hazard: local codes and licensed practice come first."""
    classes: tuple[HazardClass, ...]


def template_folder(name: str) -> Path:
    """The folder `name` among the templates, for a library that reads its files itself.

    Raises:
        InputError: there is no such folder.
    """
    for folder in (
        Path(__file__).resolve().parents[1] / "templates",
        Path(__file__).resolve().parents[2] / "templates",
    ):
        if (found := folder / name).is_dir():
            return found
    raise InputError(f"The templates {name} are missing; install the program again, or put them back.")


def template_bytes(name: str) -> bytes:
    """The bytes of the file `name`, a path inside `templates/` such as `demo/R1.json`.

    Raises:
        InputError: there is no such file, or the name leads out of the folder.
    """
    path = PurePosixPath(name)
    if not re.fullmatch(r"[\w-][\w.-]*(/[\w-][\w.-]*)*", name, re.ASCII):
        raise InputError(f"“{name}” is not the name of a file among the templates.")
    for folder in (files("logbook").joinpath("templates"), Path(__file__).resolve().parents[2] / "templates"):
        found = folder.joinpath(*path.parts)
        if found.is_file():
            return found.read_bytes()
    raise InputError(f"The template {name} is missing; install the program again, or put the file back.")


DEMO_DAY = date(2026, 3, 17)
"""The day on which the demo book is as it reads: its bearings are due on that week's Friday."""


def demo_documents(today: date | None = None) -> tuple[ShopDocument | UnitDocument, ...]:
    """The demo book: the shop, then its units. Every call reads and checks them anew.

    Args:
        today: move every date so that the book reads on this day as it does on `DEMO_DAY`; None moves nothing.

    Raises:
        InputError: a document is missing or was edited into something that cannot be used.
    """
    read = tuple(read_document(template_bytes(f"demo/{code}.json"), f"demo/{code}.json") for code in DEMO)
    return read if today is None else tuple(moved(document, today - DEMO_DAY) for document in read)


def demo_pictures(today: date | None = None) -> tuple[tuple[DemoPicture, bytes], ...]:
    """The pictures of the demo book with their bytes; the time that the camera wrote is moved with the book's dates.

    Args:
        today: as in `demo_documents`.

    Raises:
        InputError: the list or a picture is missing, or was edited into something that cannot be used.
    """
    name = "demo/pictures.json"
    try:
        listed = TypeAdapter(tuple[DemoPicture, ...]).validate_json(template_bytes(name))
    except ValidationError as error:
        raise InputError(sentences(error, name)) from error
    by = today - DEMO_DAY if today is not None else timedelta()
    return tuple((moved(p, by), _retaken(template_bytes(f"demo/pictures/{p.photo.file}"), p.photo, by)) for p in listed)


def _retaken(raw: bytes, photo: Photo, by: timedelta) -> bytes:
    """The picture as if it had been taken so much later: Exif writes a time in as many letters always."""
    if photo.taken_at is None:
        return raw
    was, now = (f"{at:%Y:%m:%d %H:%M:%S}".encode() for at in (photo.taken_at, photo.taken_at + by))
    return raw.replace(was, now)


@cache
def hazard_classes() -> tuple[HazardClass, ...]:
    """The classes of objects, each with all hazards that apply to it: its own first, then those of `also`.

    Raises:
        InputError: the file is missing or cannot be used, with a sentence for each place.
    """
    return read_hazards(template_bytes("hazards.json")).classes


@cache
def hazard_note() -> str:
    """What stands before any hazard: who decides, and when to stop. Raises InputError like `hazard_classes`."""
    return read_hazards(template_bytes("hazards.json")).note


def usual_hazards(object_class: str) -> tuple[Hazard, ...]:
    """The usual hazards of a class of object; none for a class the list does not have."""
    wanted = object_class.strip().casefold()
    return next((c.hazards for c in hazard_classes() if c.name.casefold() == wanted), ())


def with_usual_words(hazard: Hazard) -> Hazard:
    """A danger of which nobody wrote what to do, with the words of the usual danger of that name, if there is one.

    Own words stay as they are. A CAUTION of which nobody says how it is proved safe stays one that is only minded.
    """
    if hazard.do and hazard.prove:
        return hazard
    usual = _usual_dangers().get(danger_key(hazard.what))
    if usual is None:
        return hazard
    prove = usual.prove if is_provable(hazard) else ""
    return hazard.model_copy(update={"do": hazard.do or usual.do, "prove": hazard.prove or prove})


@cache
def _usual_dangers() -> Mapping[str, Hazard]:
    """The dangers of all classes by their key; of two ways of writing one the first."""
    found: dict[str, Hazard] = {}
    for of_class in hazard_classes():
        for hazard in of_class.hazards:
            found.setdefault(danger_key(hazard.what), hazard)
    return found


def read_hazards(raw: bytes, name: str = "hazards.json") -> HazardList:
    """A list of hazards as edited by a person, with the hazards of `also` written out in each class.

    Raises:
        InputError: it is not JSON of the right form, a class stands there twice, or `also` names none.
    """
    try:
        listed = HazardList.model_validate_json(raw)
    except ValidationError as error:
        raise InputError(sentences(error, name)) from error
    by_name = {c.name: c for c in listed.classes}
    if len(by_name) != len(listed.classes):
        twice = next(c.name for i, c in enumerate(listed.classes) if by_name[c.name] is not listed.classes[i])
        raise InputError(f"{name} has the class “{twice}” twice.")
    for c in listed.classes:
        for other in c.also:
            if other not in by_name:
                raise InputError(f"{name}: “{c.name}” also names “{other}”, which is not in the list.")
    full = tuple(c.model_copy(update={"hazards": _all_hazards(c, by_name)}) for c in listed.classes)
    return listed.model_copy(update={"classes": full})


def _all_hazards(start: HazardClass, by_name: Mapping[str, HazardClass]) -> tuple[Hazard, ...]:
    """The hazards of a class and of all it refers to, each once; classes that name each other do no harm."""
    waiting, seen, found = [start.name], set[str](), dict[Hazard, None]()
    while waiting:
        name = waiting.pop(0)
        if name not in seen:
            seen.add(name)
            found.update(dict.fromkeys(by_name[name].hazards))
            waiting += by_name[name].also
    return tuple(found)
