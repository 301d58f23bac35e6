"""Photos linked and taken back: a mantel clock comes apart, and the phone's clock is fast.

The clock is taken apart on a Monday evening, and each step is written down when it is done: the hands at 18:00, the
door at 18:10, the movement at 18:20. The camera is 3 min 20 s fast, which shows in the first picture: it was taken of a
kitchen clock at 17:50:00, and the camera wrote 17:53:20.

| picture      | the camera wrote | less 3:20 | a step's time runs from the one before it to its own entry |
| ------------ | ---------------- | --------- | ----------------------------------------------------------- |
| kitchen.jpg  | 17:53:20         | 17:50:00  | shows the clock, belongs to nothing                          |
| door.jpg     | 18:07:20         | 18:04:00  | 18:00 to 18:10: T02                                          |
| hinge.jpg    | 18:11:20         | 18:08:00  | T02; by the camera's own time it would have gone to T03      |
| movement.jpg | 18:18:20         | 18:15:00  | 18:10 to 18:20: T03                                          |
| supper.jpg   | 21:03:20         | 21:00:00  | 40 minutes after the last step: no step                      |

So T02 gets two, T03 gets one, and two stay in the folder.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tests.journeys.hand import Hand
from tests.journeys.usual import leave_the_bench, new_unit, on_paper
from tests.photos.pictures import photo

MONDAY = "2026-03-02"
PICTURES = {
    "kitchen.jpg": "17:53:20",
    "door.jpg": "18:07:20",
    "hinge.jpg": "18:11:20",
    "movement.jpg": "18:18:20",
    "supper.jpg": "21:03:20",
}


def phone_of(folder: Path) -> Path:
    """The folder with the phone's pictures."""
    phone = folder / "phone"
    phone.mkdir()
    for seed, (name, at) in enumerate(PICTURES.items()):
        taken = photo(seed, time=f"2026:03:02 {at}", offset="+00:00", camera="pocket")
        (phone / name).write_bytes(taken)
    return phone


def test_photos_are_linked_and_taken_back(tmp_path: Path, tell_keys: Callable[..., None]) -> None:
    phone = phone_of(tmp_path)
    as_they_were = {p.name: p.stat().st_size for p in phone.iterdir()}
    with Hand(tmp_path / "book", f"{MONDAY} 17:58") as hand:
        new_unit(hand, "mantel clock")
        hand.press("b", "Go on at the bench", then="line >")
        for minute, line in (("00", "hands, lifted"), ("10", "door, 2 screw 2x8, bag 1"), ("20", "movement, 4 screw")):
            hand.set_clock(f"{MONDAY} 18:{minute}")
            hand.answer(line, then=f"kept: {line.partition(',')[0]}")
        leave_the_bench(hand)
        hand.set_clock(f"{MONDAY} 21:10")
        hand.press("8", "photos", then="[8 photos]")
        hand.press("a", "link a folder", then="Folder with the phone's pictures")
        hand.answer(str(phone), then="3 of 5 pictures ticked")
        hand.go_to("17:53")
        hand.press("=", "shows a clock that is right", then="it shows")
        hand.answer("17:50:00", then="2 at no step")
        hand.press("K", "link them", then="linked")
        hand.press("Esc", "back", then="3 photos at 2 steps")
        hand.press("z", "Take back the last change", then="No photo is linked yet")
        hand.press("Z", "Do again", then="3 photos at 2 steps")
        hand.go_to("18:08")
        hand.press("c", "caption", then="What is to be seen")
        hand.answer("lower hinge, pin bent", then="caption of a photo")
        hand.press("x", "Take it out of the record", then="2 photos at 2 steps")
        hand.press("z", "Take back the last change", then="3 photos at 2 steps")
        record = on_paper(hand, tmp_path / "book", "the build record", "Markdown")
        hand.end()
    assert record.suffix == ".md", (record, record.read_bytes()[:300])
    door, movement = record.read_text().split("### T02")[1].split("### T03")
    assert door.count("![") == 2
    assert movement.count("![") == 1
    assert "![lower hinge, pin bent, 2 Mar 2026]" in door
    assert record.read_text().count("![") == 3
    assert {p.name: p.stat().st_size for p in phone.iterdir()} == as_they_were
    tell_keys(hand)
