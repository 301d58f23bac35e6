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
    """What the work is called, “glue-up”."""
    words: tuple[Text, ...] = ()
    """Work is of this kind when its name holds one of these, “glue up; press”."""
    effort: Effort | None = None
    """Hands-on time, “30”, or low, likely, high “20 / 30 / 60”."""
    wait: Wait | None = None
    """How long to wait afterwards, “12 h”."""
    between: Wait | None = None
    """How long to wait between two coats, “4 h”."""
    if_missed: Text = ""
    """What to do when the time for the next was missed, “scuff-sand”."""
    if_missed_minutes: Minutes | None = None
    """How long that takes, “30 min”."""
    needs: Needs | None = None
    """What it ties up: clamps, press, bench."""
    traits: tuple[Text, ...] = ()
    """What makes it clash with other work, “dusty; wet finish”."""
    pausable: bool = False
    """It can be laid down in the middle and taken up another day."""
    note: Text = ""
    """Temperature, label, caution, “above 10 degrees”."""
    source: Text = ""
    """Where the numbers come from, “label on the tin”."""


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
    FACE_OR_NOT_SAID = "same face, or not said"
    """It holds as well while one of the two does not say which faces it works on."""
    UNIT = "same unit"
    SHOP = "whole shop"


class OrderRule(Frozen):
    """An order that materials force, over what operations are (their traits)."""

    code: Code
    """Its short code, “R1”."""
    kind: RuleKind
    """What the rule asks for."""
    first: tuple[Text, ...]
    """What goes first, or is kept apart, “dusty”."""
    second: tuple[Text, ...]
    """What it is kept apart from, or goes after, “wet finish”."""
    reach: RuleReach = RuleReach.UNIT
    """Between which work it holds."""
    minutes: Minutes = 0
    """How long the first lasts beyond its end, or the least wait, “2 h”."""
    why: Name
    """Why, “dust settles in the finish”."""
    put_right: Text = ""
    """What it takes when it was done the other way round, “sand and coat again”."""
    put_right_minutes: Minutes | None = None
    """How long that takes, “45 min”."""
    source: Text = ""
    """Where it comes from, “label on the tin”."""


class UsualWorkFile(Frozen):
    """The file `operations.json`."""

    note: Text = ""
    work: tuple[UsualWork, ...]


class RuleList(Frozen):
    """The file `order_rules.json`."""

    note: Text = ""
    rules: tuple[OrderRule, ...] = Field(min_length=1)
