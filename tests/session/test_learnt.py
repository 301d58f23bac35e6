"""A book of a time when the records knew less is changed, undone and done again like any other."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from logbook.model.step import MemberDifference
from logbook.model.unit import Unit
from logbook.session import Session
from logbook.session.record_states import to_state
from logbook.store import BookFolder
from tests.builders import at, handed_pair, step, unit

LATER = frozenset({"left_hand", "certainty", "certainty_note", "guess_settled", "piece", "panel"})
"""Some of the fields that books of earlier times do not have."""


def as_before(value: Any) -> Any:
    """The plain values without those fields."""
    if isinstance(value, dict):
        return {k: as_before(v) for k, v in value.items() if k not in LATER}
    return [as_before(v) for v in value] if isinstance(value, list) else value


def pair() -> Unit:
    return unit(
        step("T01", "wheel", each_of="LR", differences=[MemberDifference(member="L", bag="5")]), sets=[handed_pair()]
    )


def with_left_hand(of: Unit) -> Unit:
    (wheel,) = of.steps
    left = wheel.differences[0].model_copy(update={"left_hand": True})
    return of.model_copy(update={"steps": (wheel.model_copy(update={"differences": (left,)}),)})


def test_a_field_learnt_later_is_set_undone_and_set_again(tmp_path: Path) -> None:
    book = BookFolder.open(tmp_path / "book", by="AB", now=lambda: at("2026-03-12 20:00"))
    book.add_unit("R1", as_before(to_state(pair())), "arrived")
    book.close()
    with Session.open(tmp_path / "book", by="AB") as session:
        assert session.unit("R1") == pair()
        session.apply("R1", "left-hand thread", with_left_hand)
    with Session.open(tmp_path / "book", by="AB") as session:
        assert session.unit("R1").steps[0].differences[0].left_hand
        session.undo("R1")
        assert session.unit("R1") == pair()
        session.apply("R1", "a bag", lambda of: of.model_copy(update={"next_action": "look at the left wheel"}))
        session.undo("R1")
        session.apply("R1", "left-hand thread", with_left_hand)
        assert session.unit("R1").steps[0].differences[0].left_hand
    with Session.open(tmp_path / "book", by="AB") as session:
        assert session.unit("R1").steps[0].differences[0].left_hand
        assert session.problems == ()
