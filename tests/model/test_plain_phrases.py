"""What people say of a new thing in words of their own means what the labels of its fields mean."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from logbook.model.base import Frozen
from logbook.model.casework_records import HeldDimension, Panel
from logbook.model.one_line import read_line
from logbook.model.shop import FreeTime
from logbook.model.step import Connection
from logbook.model.typed_values import Context
from logbook.model.usual_fields import example_of
from logbook.model.work import Comparator, Operation, Waiting

CONTEXT = Context(datetime(2026, 3, 20, 18, 0, tzinfo=UTC), "EUR")
WIRE = {"code": "W1", "colour": "brown", "from": "cord", "to": "switch 1"}
TAG = {"code": "W3", "from": "tag 2", "to": "the lamp", "joint": "soldered"}
INSIDE = {"what": "inside width", "value": "165.2", "readings": "165.2; 164.9", "plus": "0.5", "minus": "0.5"}
SIDE = {"name": "left side", "layers": "1: 12 ply, 12", "between": "top and bottom"}
NEW = {"kind": "buy new", "price": "289.00", "delivery": "9.90", "ready": "3 days"}
EVENING = {"weekday": "Tuesday", "from": "18:00", "how long": "2:00 h"}
DRIES = "earliest 12:00 h"
OIL = {"name": "oil", "effort": "20 min", "times": "2", "wait": DRIES, "between": DRIES}
GLUE = {"name": "glue up", "effort": "45 min", "needs": "clamps 4", "wait": "earliest 2:00 h"}
SAID = [
    (Connection, "W1 brown: cord to switch 1", WIRE),
    (Connection, "W3: tag 2 to the lamp, joint soldered", TAG),
    (HeldDimension, "inside width 165.2 164.9, ±0.5", INSIDE),
    (Panel, "left side, 12 ply, between top and bottom", SIDE),
    (Comparator, "buy new 289 + 9.90, 3 days", NEW),
    (Comparator, "buy used 80", {"kind": "buy used, as is", "price": "80.00"}),
    (Comparator, "used 80 + 9.90", {"kind": "buy used, as is", "price": "80.00", "delivery": "9.90"}),
    (Comparator, "buy used, restored 205", {"kind": "buy used, restored", "price": "205.00"}),
    (Comparator, "used restored 205, 2 weeks", {"kind": "buy used, restored", "price": "205.00", "ready": "2 weeks"}),
    (FreeTime, "Tue 18:00 2 h", EVENING),
    (Operation, "oil, 20 min, 2 coats, dries 12 h", OIL),
    (Operation, "glue up, 45 min, 4 clamps, sets 2 h", GLUE),
    (Comparator, "new one 45", {"kind": "buy new", "price": "45.00"}),
    (Comparator, "new radio 45, 3 days", {"kind": "buy new", "what": "radio", "price": "45.00", "ready": "3 days"}),
    (FreeTime, "tuesday evening 19 to 21", {"weekday": "Tuesday", "from": "19:00", "how long": "2:00 h"}),
    (FreeTime, "Tuesdays 19.30-21.30", {"weekday": "Tuesday", "from": "19:30", "how long": "2:00 h"}),
    (FreeTime, "tue in the evening, 7 to 9", {"weekday": "Tuesday", "from": "19:00", "how long": "2:00 h"}),
    (FreeTime, "tue evening 6:00 2 h", {"weekday": "Tuesday", "from": "18:00", "how long": "2:00 h"}),
    (FreeTime, "Tuesday morning 9.30 to 12", {"weekday": "Tuesday", "from": "09:30", "how long": "2:30 h"}),
    (HeldDimension, "inside depth 150", {"what": "inside depth", "value": "150"}),
    (HeldDimension, "inside depth 150, ±0.5", {"what": "inside depth", "value": "150", "plus": "0.5", "minus": "0.5"}),
    (HeldDimension, "shaft 10, 45", {"what": "shaft 10", "value": "45"}),
    (Waiting, "bearings, due 1 Apr", {"what": "bearings", "expected": "Wed 1 Apr 2026"}),
]


@pytest.mark.parametrize(("kind", "line", "said"), SAID)
@pytest.mark.parametrize("offered", ["W1", "X1"])
def test_a_line_as_one_says_it(kind: type[Frozen], line: str, said: dict[str, str], offered: str) -> None:
    reading = read_line(kind, line, CONTEXT, code=offered)
    assert reading.problem == ""
    assert dict(reading.words()) == said


def test_a_line_of_free_hours_that_is_refused_is_quoted_as_it_was_typed() -> None:
    assert "“tue banana 19 to 21” was not understood" in read_line(FreeTime, "tue banana 19 to 21", CONTEXT).problem


def test_of_two_readings_that_differ_it_is_said_which_one_counts() -> None:
    (said,) = read_line(HeldDimension, "inside depth 180.2 180.0", CONTEXT, code="H1").doubts
    assert said == "Read as 180.2 and 180: 180.2, the first, counts. Type first the one that is to count."


@pytest.mark.parametrize("line", ["oil, 2 coats of 3", "bearings, duet", "left 3 4 side, 12 ply"])
@pytest.mark.parametrize("kind", [Operation, Waiting, Panel])
def test_other_words_stay_what_they_are(kind: type[Frozen], line: str) -> None:
    name = line.partition(",")[0]
    assert name in [value for _, value in read_line(kind, line, CONTEXT, code="X1").words()]


@pytest.mark.parametrize("kind", [Connection, HeldDimension, Panel, Comparator, Operation, FreeTime])
def test_the_example_in_grey_is_read_whole(kind: type[Frozen]) -> None:
    reading = read_line(kind, example_of(kind), CONTEXT, code="X1")
    assert (reading.problem, reading.missing) == ("", ())
    assert "note" not in reading.said
