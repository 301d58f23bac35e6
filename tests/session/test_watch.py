"""An edit that makes cash pass the stop line says so at once, and which line did it."""

from __future__ import annotations

from decimal import Decimal
from functools import partial
from pathlib import Path

import pytest

from logbook.errors import InputError
from logbook.model.paths import put_at
from logbook.model.shop import Shop
from logbook.model.work import StopLine
from logbook.session import Session
from tests.builders import consumable, estimate, part, shop, step, unit, use


@pytest.fixture
def session(tmp_path: Path):
    with Session.open(tmp_path / "book") as opened:
        opened.apply_shop("shelf", lambda _: shop(shelf=[consumable("varnish", 0, ("250", "11"), unit="ml")]))
        opened.add_unit(
            unit(
                step("T01"),
                parts=[part("N1", "transformer", price=estimate("10"))],
                consumables=[use("varnish", 100, "ml")],
                stop_lines=[StopLine(amount=Decimal(50))],
            )
        )
        yield opened


def price(session: Session, *three: str) -> str:
    session.apply("R1", "price", lambda u: put_at(u, ("parts", "N1", "price"), estimate(*three)))
    return session.warning


def test_the_edit_that_passes_the_line_is_told_once(session: Session) -> None:
    assert price(session, "20") == ""
    assert price(session, "20", "20", "60").startswith("STOP LINE 50.00: the high case 71.00 now passes it.")
    assert "transformer (+40.00)" in session.warning
    assert price(session, "20", "20", "61") == "", "it was over before"
    assert "expected" in price(session, "20", "32", "90")


def test_an_edit_of_something_else_says_nothing(session: Session) -> None:
    price(session, "20", "20", "60")
    session.apply("R1", "a note", lambda u: put_at(u, ("notes",), "looked at it"))
    assert session.warning == ""


def dearer_varnish(of: Shop) -> Shop:
    return of.model_copy(update={"shelf": shop(shelf=[consumable("varnish", 0, ("250", "45"), unit="ml")]).shelf})


def test_a_dearer_pack_on_the_shelf_is_told_as_well(session: Session) -> None:
    session.unit("R1")
    session.apply_shop("price", dearer_varnish)
    assert session.warning.startswith("R1: STOP LINE 50.00: ")
    assert "varnish (+34.00)" in session.warning


def test_it_is_told_of_a_unit_that_nobody_opened_since_the_start(session: Session, tmp_path: Path) -> None:
    session.add_unit(unit(step("T01"), code="R2", name="lamp"))
    assert [row.code for row in session.lines()] == ["R1", "R2"]
    session.close()
    with Session.open(tmp_path / "book") as again:
        assert not again.read_units, "the bench needs none of the records"
        again.apply_shop("price", dearer_varnish)
        assert again.warning.startswith("R1: STOP LINE 50.00: ")
        assert list(again.read_units) == ["R1"], "the lamp uses no varnish"


def test_a_stop_line_that_was_set_cannot_be_rewritten(session: Session) -> None:
    with pytest.raises(InputError, match="stays as it is"):
        session.apply("R1", "higher", lambda u: put_at(u, ("stop_lines", 0, "amount"), Decimal(500)))
    assert session.unit("R1").stop_lines[0].amount == 50


def test_undo_takes_a_moved_stop_line_back(session: Session) -> None:
    from logbook.model.unit_edits import with_stop_line

    session.apply("R1", "moved", partial(with_stop_line, amount=Decimal(80), why="it is worth it", at=session.now))
    assert len(session.unit("R1").stop_lines) == 2
    session.undo("R1")
    assert [x.amount for x in session.unit("R1").stop_lines] == [50]
