"""Reversal."""
from __future__ import annotations
from collections.abc import Mapping
from dataclasses import dataclass
from logbook.model.words import Action, JointFound


@dataclass(frozen=True, slots=True)
class Reversal:
    """What an action means on the way back."""

    does: str
    title: str


REVERSALS: Mapping[Action, Reversal] = {}
JOINTS: Mapping[JointFound, str] = {}
