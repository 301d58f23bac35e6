"""Pictures that come into a watched folder: each once, and only when it is wholly there."""

from __future__ import annotations

from datetime import UTC
from pathlib import Path

from logbook.model.photo_edits import WHOLE_UNIT
from logbook.session import Session
from logbook.session.looked_over import Inbox, LookedOver
from logbook.session.unit_photos import look_through
from tests.builders import unit
from tests.photos.pictures import photo


def test_a_file_that_still_grows_is_given_when_it_has_stopped_and_only_once(tmp_path: Path) -> None:
    old, new = tmp_path / "a.jpg", tmp_path / "b.jpg"
    old.write_bytes(b"old")
    inbox = Inbox(tmp_path, [old])
    new.write_bytes(b"half")
    assert inbox.came() == []
    new.write_bytes(b"half and half")
    assert inbox.came() == []
    assert inbox.came() == [new]
    assert inbox.came() == []


def test_more_pictures_join_the_list_and_what_was_said_by_hand_stays(tmp_path: Path) -> None:
    for n in range(3):
        (tmp_path / f"{n}.jpg").write_bytes(photo(n))
    (tmp_path / "3.jpg").write_bytes(photo(0))
    paths = [tmp_path / f"{n}.jpg" for n in range(4)]
    with Session.open(tmp_path / "book") as session:
        session.add_unit(unit())
        over = LookedOver(session)
        over.begin(look_through(paths[:2], {}, zone=UTC))
        spot_of = next(iter(over.choices))

        over.put(spot_of, session.codes()[0], WHOLE_UNIT)
        assert over.add(look_through(paths[2:], {}, zone=UTC)) == 1
        assert list(over.choices) == [str(p) for p in paths[:3]]
        assert over.choices[spot_of].why == "put there by hand"
        assert [w.found.path for w in over.wanted()] == [paths[0]]
        assert over.looked.problems == ("3.jpg is the same picture as 0.jpg; it is taken once.",)
