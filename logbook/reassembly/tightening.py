"""Tightening."""
from __future__ import annotations


def crosswise(n: int) -> tuple[int, ...]:
    """Places 1..n round a face, numbered clockwise, in crosswise order."""
    raise NotImplementedError


def pattern(n: int, sequence: str = "") -> str:
    """How to draw down n fasteners of one face."""
    raise NotImplementedError
