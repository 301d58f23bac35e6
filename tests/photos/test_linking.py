"""Photos whose true step is known: how many links are right, wrong and unsure, and never a certain one wrong."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest

from logbook.errors import InputError
from logbook.model.card_text import reusable_card, step_card
from logbook.model.words import LinkBasis
from logbook.photos.camera_clock import from_cards, from_matches, from_picture, from_words
from logbook.photos.capture import TimeBasis
from logbook.photos.cards import Card, card_of
from logbook.photos.linking import CameraOffset, LinkCertainty, PhotoTaken, propose, spans
from tests.builders import at, step, unit
from tests.photos.evenings import Evening, evening


def figures(clock: Callable[[Evening], CameraOffset | None], **how: object) -> Counter[tuple[str, bool]]:
    """Over forty evenings: links by certainty and whether they are right."""
    found: Counter[tuple[str, bool]] = Counter()
    for seed in range(40):
        made = evening(seed, **how)  # type: ignore[arg-type]
        known = clock(made)
        result = propose(made.photos, made.units, {"phone": known} if known else {})
        assert len(result.links) + len(result.orphans) == len(made.photos)
        for link in result.links:
            found[link.certainty.value, (link.unit, link.step) == made.truth[link.photo]] += 1
    return found


def by_picture(made: Evening) -> CameraOffset:
    return from_picture(made.clock_picture, made.clock_shows.strftime("%H:%M:%S"), made.clock_picture)


@pytest.mark.parametrize("minutes", [-10, -1, 0, 3, 10])
def test_with_one_picture_of_a_clock(minutes: int) -> None:
    found = figures(by_picture, ahead=timedelta(minutes=minutes, seconds=17))
    total, wrong = sum(found.values()), sum(n for (_, right), n in found.items() if not right)
    assert found["certain", False] == 0
    assert wrong / total < 0.01
    assert found["certain", True] / total > 0.8


def test_with_two_units_taken_in_turns_and_no_word_of_the_clock() -> None:
    found = figures(lambda _: None, units=3, ahead=timedelta(seconds=60))
    assert found["certain", False] == 0
    assert found["unsure", True] + found["unsure", False] > found["certain", True]


@pytest.mark.parametrize("minutes", [-9, 0, 6])
def test_with_the_clock_estimated_from_the_matches(minutes: int) -> None:
    found = figures(lambda made: from_matches(made.photos, spans(made.units)), ahead=timedelta(minutes=minutes))
    assert found["certain", False] == 0
    assert found["certain", True] / sum(found.values()) > 0.5


def test_with_the_clock_from_cards() -> None:
    found = figures(lambda m: from_cards(m.photos, spans(m.units)), ahead=timedelta(minutes=8), cards=0.3)
    assert found["certain", False] == 0


@pytest.mark.parametrize("basis", [TimeBasis.NAME, TimeBasis.FILE])
def test_a_time_that_is_not_the_cameras_is_never_certain(basis: TimeBasis) -> None:
    found = figures(by_picture, basis=basis)
    assert {certainty for certainty, _ in found} == {"unsure"}


RADIO = unit(
    step("T01", "plug", at=at("2026-03-12 19:00"), photo_taken=True),
    step("T02", "back panel", at=at("2026-03-12 19:06")),
    step("T03", "pointer", at=at("2026-03-12 19:15"), photo_taken=True),
    step("T04", "speaker", at=at("2026-03-14 10:00")),
    step("T05", "feet", planned=True),
)
EXACT = {"": CameraOffset(timedelta(), timedelta(seconds=2), "set")}


def taken(moment: str, name: str = "a.jpg", card: Card | None = None, basis: TimeBasis = TimeBasis.ZONED) -> PhotoTaken:
    return PhotoTaken(name, at(moment), basis, "", card or Card())


CASES = [
    ("2026-03-12 19:03:00", "T02", LinkCertainty.CERTAIN, "while T02"),
    ("2026-03-12 18:59:00", "T01", LinkCertainty.CERTAIN, "while T01"),
    ("2026-03-12 18:35:00", "T01", LinkCertainty.LIKELY, "before the first entry"),
    ("2026-03-12 19:06:05", "T02", LinkCertainty.LIKELY, "5 s after T02"),
    ("2026-03-12 19:06:13", "T02", LinkCertainty.UNSURE, "may still show"),
    ("2026-03-12 19:05:59", "T02", LinkCertainty.UNSURE, "perhaps at the next"),
    ("2026-03-12 19:20:00", "T03", LinkCertainty.LIKELY, "the last for some time"),
    ("2026-03-14 09:50:00", "T04", LinkCertainty.CERTAIN, "while T04"),
]


@pytest.mark.parametrize(("moment", "code", "certainty", "why"), CASES)
def test_one_photo(moment: str, code: str, certainty: LinkCertainty, why: str) -> None:
    if moment.endswith("19:06:13"):
        clocks = {"": CameraOffset(timedelta(), timedelta(seconds=20), "set")}
        code = "T03"
    else:
        clocks = EXACT
    (link,) = propose([taken(moment)], [RADIO], clocks).links
    assert (link.step, link.certainty) == (code, certainty)
    assert why in link.why


@pytest.mark.parametrize("moment", ["2026-03-12 18:00", "2026-03-12 19:40", "2026-03-13 12:00", "2027-01-01 00:00"])
def test_far_from_any_work_it_is_an_orphan(moment: str) -> None:
    found = propose([taken(moment)], [RADIO], EXACT)
    assert found.links == ()
    assert found.orphans == (("a.jpg", "nothing was taken apart around that time"),)


def test_the_date_of_a_file_is_told_apart_from_a_time_of_the_camera() -> None:
    copied = taken("2027-01-01 00:00")._replace(basis=TimeBasis.FILE)
    ((_, why),) = propose([copied], [RADIO], EXACT).orphans
    assert why == "the camera wrote no time into it, and by the time of the file nothing was taken apart then"


def test_steps_that_lack_their_photo_are_named() -> None:
    assert propose([taken("2026-03-12 18:59")], [RADIO], EXACT).without == (("R1", "T03"),)


def test_a_card_names_the_step_where_the_time_does_not() -> None:
    (link,) = propose([taken("2026-05-01 12:00", card=Card("R1", "T03"))], [RADIO], EXACT).links
    assert (link.step, link.certainty, link.basis) == ("T03", LinkCertainty.CERTAIN, LinkBasis.CARD)


def test_card_and_certain_time_that_contradict_each_other_are_unsure() -> None:
    (link,) = propose([taken("2026-03-12 19:03", card=Card("R1", "T03"))], [RADIO], EXACT).links
    assert link.certainty is LinkCertainty.UNSURE
    assert "its card says T03" in link.why
    assert "while T02" in link.why


def test_a_card_of_no_known_step() -> None:
    photo = taken("2026-05-01 12:00", card=Card("X9", "T77"))
    assert "not in the record" in propose([photo], [RADIO], EXACT).orphans[0][1]


def test_a_reusable_card_carries_a_certain_step_to_its_neighbours() -> None:
    card = Card(number="7")
    photos = [taken("2026-03-12 19:03:00", "a", card), taken("2026-03-12 19:06:03", "b", card)]
    second = propose(photos, [RADIO], EXACT).links[1]
    assert (second.step, second.certainty, second.basis) == ("T02", LinkCertainty.LIKELY, LinkBasis.CARD)


def test_without_any_steps_everything_is_an_orphan() -> None:
    photos = [taken("2026-03-12 19:03"), PhotoTaken("b", None, TimeBasis.NONE)]
    assert [why for _, why in propose(photos, [], {}).orphans] == [
        "no step was written down with its time",
        "it says no time",
    ]


def test_the_text_of_cards() -> None:
    assert card_of(step_card("R1", "T11")) == Card("R1", "T11")
    assert card_of(step_card("R1")) == Card("R1")
    assert card_of(reusable_card(7)) == Card(number="7")
    assert card_of("https://example.org/R1/T11") == Card()


LOCAL = datetime(2026, 3, 12, 0, 2, 10, tzinfo=UTC)


@pytest.mark.parametrize(
    ("shown", "ahead", "doubt"),
    [
        ("00:00:10", timedelta(minutes=2), 2),
        ("23:58:10", timedelta(minutes=4), 2),
        ("0:05", timedelta(minutes=-3, seconds=-20), 31),
        ("00.02.10", timedelta(), 2),
    ],
)
def test_a_picture_of_a_clock_over_midnight(shown: str, ahead: timedelta, doubt: int) -> None:
    clock = from_picture(LOCAL, shown, LOCAL)
    assert clock.ahead == ahead
    assert clock.doubt == timedelta(seconds=doubt)


@pytest.mark.parametrize("shown", ["", "25:00", "12:60", "noon", "12", "12:30:61"])
def test_what_no_clock_shows(shown: str) -> None:
    with pytest.raises(InputError, match="is no time of day"):
        from_picture(LOCAL, shown, LOCAL)


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("+3:20", 200), ("-0:45", -45), ("1:02:00", 3720), ("-1:00:00", -3600), ("45 s", 45), ("-5s", -5)],
)
def test_a_clock_error_in_words(text: str, seconds: int) -> None:
    assert from_words(text).ahead == timedelta(seconds=seconds)


@pytest.mark.parametrize("text", ["", "fast", "3", "3:2", "1:2:3:4"])
def test_no_clock_error(text: str) -> None:
    with pytest.raises(InputError, match="is no clock error"):
        from_words(text)


def test_cards_that_contradict_each_other_say_nothing_of_the_clock() -> None:
    photos = [taken("2026-03-12 19:03", card=Card("R1", "T02")), taken("2026-03-12 23:03", card=Card("R1", "T03"))]
    assert from_cards(photos, spans([RADIO])) is None
