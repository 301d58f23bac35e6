"""Usual pieces of work with their waits, and rules of order forced by materials: data that a person can add to.

What comes with the program lies in `templates/operations.json` and `templates/order_rules.json`; the shop's own
stand in the shop's document.
"""

from __future__ import annotations

from enum import StrEnum

from pydantic import Field

from logbook.model.base import Code, Frozen, Minutes, Name, Text
from logbook.model.measures import Effort
from logbook.model.work import Needs, Wait


class UsualWork(Frozen):
    """A usual piece of work: what it takes, what it needs, and the wait after it."""

    name: Name
    words: tuple[Text, ...] = ()
    """An operation is of this kind when its name holds one of these words."""
    effort: Effort | None = None
    wait: Wait | None = None
    between: Wait | None = None
    """The wait between two times, for work such as coats that is done more than once."""
    if_missed: Text = ""
    if_missed_minutes: Minutes | None = None
    needs: Needs | None = None
    traits: tuple[Text, ...] = ()
    pausable: bool = False
    note: Text = ""
    """Temperature, label, caution."""
    source: Text = ""
    """Where the numbers come from."""


class RuleKind(StrEnum):
    """What a rule of order asks for."""

    BEFORE = "before"
    """The first goes before the second."""
    APART = "apart"
    """Neither while the other lasts: dust, wet finish, solvent in the air."""
    CURE = "cure"
    """The second only so many minutes after the first."""


class RuleReach(StrEnum):
    """Between which operations a rule holds."""

    FACE = "same face"
    UNIT = "same unit"
    SHOP = "whole shop"


class OrderRule(Frozen):
    """An order that materials force, over what operations are (their traits)."""

    code: Code
    kind: RuleKind
    first: tuple[Text, ...]
    """Traits of the operation that goes first, or of one of the two that are kept apart."""
    second: tuple[Text, ...]
    reach: RuleReach = RuleReach.UNIT
    minutes: Minutes = 0
    """For “apart”: how long the first lasts beyond its end, such as dust settling. For “cure”: the least wait."""
    why: Name
    put_right: Text = ""
    """What it takes when it was done the other way round."""
    put_right_minutes: Minutes | None = None
    source: Text = ""


class UsualList(Frozen):
    """The file `operations.json`."""

    note: Text = ""
    work: tuple[UsualWork, ...]


class RuleList(Frozen):
    """The file `order_rules.json`."""

    note: Text = ""
    rules: tuple[OrderRule, ...] = Field(min_length=1)
