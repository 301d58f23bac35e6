"""How much solid wood grows and shrinks across its grain with the humidity it stands in.

Moisture content from temperature and relative humidity: equation (4-5) of the Wood Handbook, Forest Products
Laboratory, FPL-GTR-282 (2021), chapter 4. Change of a dimension: equation (13-2) of its chapter 13,
D = D_I C (M_F - M_I), for 6 to 14 percent, with C_T for flatsawn and C_R for quartersawn boards from its table 13-5.
It is a suggestion: a real board lies between the two, and takes weeks to follow the season.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import NamedTuple

from pydantic import ValidationError

from logbook.casework.lookup import mm
from logbook.casework.panels import WorkedPanel
from logbook.errors import InputError
from logbook.model.base import Frozen, Name, Text
from logbook.model.case_plan import CasePlan
from logbook.model.measures import TICKS_PER_MM, Number
from logbook.model.templates import template_bytes
from logbook.model.words import Grain, Sawn

LOWEST, HIGHEST = Decimal(6), Decimal(14)
"""Moisture contents between which equation (13-2) holds."""


class Species(Frozen):
    """One species with its coefficients of dimensional change for one percent of moisture."""

    name: Name
    radial: Number | None = None
    tangential: Number


class HumidityRange(Frozen):
    """Relative humidity indoors over the year, in percent, at a temperature in degrees Celsius."""

    dry: Number
    humid: Number
    now: Number
    temperature: Number


class WoodList(Frozen):
    """The file `wood.json`."""

    note: Text = ""
    source: Text = ""
    humidity: HumidityRange
    species: tuple[Species, ...]


@cache
def wood_list() -> WoodList:
    """The species and the usual humidity. Raises InputError when the file is missing or cannot be used."""
    return read_wood_list(template_bytes("wood.json"))


def read_wood_list(raw: bytes) -> WoodList:
    """A list of species as edited by a person. Raises InputError when it cannot be used."""
    try:
        return WoodList.model_validate_json(raw)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = " / ".join(str(x) for x in first["loc"])
        raise InputError(f"wood.json cannot be used: {where}: {first['msg']}.") from error


def species_named(name: str) -> Species | None:
    """The species called so; None when the list has none of that name."""
    wanted = " ".join(name.replace(",", " ").casefold().split())
    for species in wood_list().species:
        words = " ".join(species.name.replace(",", " ").casefold().split())
        if words == wanted or sorted(words.split()) == sorted(wanted.split()):
            return species
    return None


def moisture_content(humidity: Decimal, temperature: Decimal) -> Decimal:
    """Equilibrium moisture content in percent, equation (4-5).

    Args:
        humidity: relative humidity in percent, from 0 to below 100.
        temperature: degrees Celsius.

    Raises:
        InputError: the humidity is no percentage below 100.
    """
    if not 0 <= humidity < 100:
        raise InputError(f"A relative humidity is from 0 to below 100 percent, not {humidity}.")
    t, h = temperature, humidity / 100
    w = 349 + Decimal("1.29") * t + Decimal("0.0135") * t * t
    k = Decimal("0.805") + Decimal("0.000736") * t - Decimal("0.00000273") * t * t
    k1 = Decimal("6.27") - Decimal("0.00938") * t - Decimal("0.000303") * t * t
    k2 = Decimal("1.91") + Decimal("0.0407") * t - Decimal("0.000293") * t * t
    kh = k * h
    bound = (k1 * kh + 2 * k1 * k2 * kh * kh) / (1 + k1 * kh + k1 * k2 * kh * kh)
    return Decimal(1800) / w * (kh / (1 - kh) + bound)


def change_of(size: int, coefficient: Decimal, before: Decimal, after: Decimal) -> int:
    """Change of a size in ticks when the moisture content goes from `before` to `after`, equation (13-2)."""
    return round(size * coefficient * (after - before))


class Season(NamedTuple):
    """Moisture contents in percent: driest, while it is fitted, most humid."""

    dry: Decimal
    now: Decimal
    humid: Decimal


def season_of(plan: CasePlan) -> Season:
    """The moisture contents for the humidity that the plan says, else the usual one indoors."""
    usual = wood_list().humidity
    at = usual.temperature
    dry, humid, now = (
        said if said is not None else usual_one
        for said, usual_one in (
            (plan.humidity_dry, usual.dry), (plan.humidity_humid, usual.humid), (plan.humidity_now, usual.now),
        )
    )  # fmt: skip
    return Season(moisture_content(dry, at), moisture_content(now, at), moisture_content(humid, at))


@dataclass(frozen=True, slots=True)
class Movement:
    """How much one solid part moves across its grain, in ticks."""

    panel: str
    species: str
    across: int
    grows: int
    """From now to the most humid season: leave at least so much room."""
    shrinks: int
    """From now to the driest season: so much gap opens."""
    sentence: str
    outside_range: bool
    """The moisture content leaves the range for which the equation holds."""


def movements(panels: tuple[WorkedPanel, ...], plan: CasePlan) -> tuple[tuple[Movement, ...], tuple[str, ...]]:
    """The movement of every solid part, and sentences for those whose species is not in the list."""
    found, unknown = [], []
    season = season_of(plan) if any(p.record.species for p in panels) else None
    for panel in panels:
        if not panel.record.species or panel.finish is None or season is None:
            continue
        species = species_named(panel.record.species)
        if species is None:
            unknown.append(f"{panel.code}: the species “{panel.record.species}” is not in the list of species.")
        else:
            found.append(_movement(panel, species, season))
    return tuple(found), tuple(unknown)


def _movement(panel: WorkedPanel, species: Species, season: Season) -> Movement:
    size = panel.finish
    across = (size.length if panel.grain is Grain.WIDTH else size.width) if size is not None else 0
    quarter = panel.record.sawn is Sawn.QUARTER and species.radial is not None
    factor = species.radial if quarter and species.radial is not None else species.tangential
    grows = change_of(across, factor, season.now, season.humid)
    shrinks = -change_of(across, factor, season.now, season.dry)
    beyond = min(season) < LOWEST or max(season) > HIGHEST
    sentence = (
        f"{panel.code} {panel.name}, {species.name}, {mm(across)} across the grain: grows {_tenths(grows)} and shrinks "
        f"{_tenths(shrinks)} with the seasons; leave {_tenths(grows)} room, and let a panel in a groove enter by "
        f"more than {_tenths(shrinks)}"
    )
    return Movement(panel.code, species.name, across, grows, shrinks, sentence, beyond)


def _tenths(of: int) -> str:
    """To 0.1 mm, which is already finer than wood can be foretold."""
    return f"{Decimal(of) / TICKS_PER_MM:.1f}"
