"""What each action and joint means on the way back, titles, and in what order fasteners are drawn down.

The tables of actions and joints are common practice without a source. The tightening orders are checked
against published ones, named beside each.
"""

from __future__ import annotations

import pytest

from logbook.model.words import Action, JointFound
from logbook.reassembly import JOINTS, REVERSALS, LineKind, crosswise, pattern, refit_list
from logbook.reassembly.reversal import title_of
from logbook.reassembly.tightening import on_one_face
from tests.builders import one_way, step, unit

GOES_BACK = [
    # action, a word of what to do, title of “back panel”, kind of line
    (Action.UNSCREWED, "tighten as tight as it was found", "refit back panel", LineKind.STEP),
    (Action.UNPLUGGED, "tug", "back panel plugged in", LineKind.STEP),
    (Action.UNSOLDERED, "sleeve on first", "back panel soldered", LineKind.STEP),
    (Action.CUT, "Join", "back panel joined", LineKind.STEP),
    (Action.PRISED, "every clip", "press the back panel on", LineKind.STEP),
    (Action.SPLIT, "fit dry", "back panel joined", LineKind.STEP),
    (Action.SLID, "stop", "slide the back panel on", LineKind.STEP),
    (Action.LOOSENED, "Nip", "back panel nipped and aligned", LineKind.STEP),
    (Action.LIFTED, "place", "refit back panel", LineKind.STEP),
    (Action.UNHOOKED, "Hook", "hook the back panel on", LineKind.STEP),
    (Action.DRILLED, "new fixing", "refit back panel, with new fixings", LineKind.STEP),
    (Action.SPRING_RELEASED, "Set the spring up", "back panel set up", LineKind.STEP),
    (Action.DRAINED, "Fill", "back panel filled", LineKind.STEP),
    (Action.BLED, "competent person", "safety test before power: back panel", LineKind.TEST),
    (Action.DISCARDED, "new one", "fit new back panel", LineKind.STEP),
    (Action.UNCLIPPED, "every clip", "clip the back panel on", LineKind.STEP),
    (Action.PEELED, "stick it down", "stick the back panel down again", LineKind.STEP),
    (Action.UNDONE, "as it was found", "do the back panel up again", LineKind.STEP),
    (Action.UNSAID, "not written", "refit back panel", LineKind.STEP),
]


@pytest.mark.parametrize(("action", "what", "title", "kind"), GOES_BACK)
def test_each_action_that_took_something_off_has_its_line(
    action: Action, what: str, title: str, kind: LineKind
) -> None:
    line = refit_list(unit(step("T01", action=action))).by_key["T01"]
    assert any(what in sentence for sentence in line.what)
    assert (line.title, line.kind) == (title, kind)


RECORD_ONLY = [
    # action, and why the step is left out when there is nothing to compare
    (Action.RECORDED, "recorded only"),
    (Action.MARKED, "no marks"),
    (Action.CLEANED, "not undone"),
    (Action.MEASURED, "no reading"),
]


@pytest.mark.parametrize(("action", "why"), RECORD_ONLY)
def test_each_action_that_took_nothing_off_drops_out_with_its_reason(action: Action, why: str) -> None:
    """The step stands before a real one, so the opening check has no place for it."""
    lst = refit_list(unit(step("T01", action=action), step("T02")))
    assert [x.step for x in lst.left_out] == ["T01"]
    assert why in lst.left_out[0].why


@pytest.mark.parametrize("action", [a for a, r in REVERSALS.items() if r.record_only])
def test_a_setting_is_set_again_whatever_was_done(action: Action) -> None:
    from tests.builders import setting

    line = refit_list(unit(step("T01", action=action, settings=[setting()]), step("T02"))).by_key["T01"]
    assert line.kind is LineKind.STEP
    assert line.title == "back panel set"
    assert line.settings == (setting(),)
    assert "Set it again as recorded." in line.what


def test_a_tracing_is_always_used() -> None:
    line = refit_list(unit(step("T01", action="traced"), step("T02"))).by_key["T01"]
    assert (line.kind, line.title) == (LineKind.CHECK, "back panel compared with the pattern")


def test_marks_are_matched_when_they_were_written_down() -> None:
    line = refit_list(unit(step("T01", action="marked", marks="two dots"), step("T02"))).by_key["T01"]
    assert line.kind is LineKind.CHECK
    assert "Marks: two dots." in line.what


def test_the_tables_are_complete() -> None:
    assert set(REVERSALS) == set(Action)
    assert {a for a, *_ in GOES_BACK} | {a for a, _ in RECORD_ONLY} | {Action.TRACED} == set(Action)
    assert set(JOINTS) == set(JointFound)


@pytest.mark.parametrize("joint", JointFound)
def test_each_joint_becomes_the_work_that_takes_its_place(joint: JointFound) -> None:
    line = refit_list(unit(step("T01", action="prised", one_way=one_way(joint)))).by_key["T01"]
    assert line.remake is not None
    assert line.remake.text.startswith(JOINTS[joint])
    assert line.remake.text in line.what
    assert line.title == "refit back panel"


JOINT_WORDS = [
    (JointFound.GLUED, "cure"),
    (JointFound.RIVETED, "clearance"),
    (JointFound.PINNED, "screws"),
    (JointFound.DESOLDERED, "sleeve on first"),
    (JointFound.WIRE_CUT, "length that was lost"),
    (JointFound.GASKET, "new one"),
    (JointFound.LOCKED, "new mark"),
    (JointFound.CRUSHED, "tracing"),
]


@pytest.mark.parametrize(("joint", "word"), JOINT_WORDS)
def test_the_table_of_joints_says_what_the_trade_does(joint: JointFound, word: str) -> None:
    assert word in JOINTS[joint]


TITLES = [
    ("Speaker off the baffle", Action.UNSCREWED, "refit speaker"),
    ("Four chassis bolts out from below", Action.UNSCREWED, "refit four chassis bolts"),
    ("Unsolder speaker leads W2, W3", Action.UNSOLDERED, "solder speaker leads W2, W3"),
    ("Slip two dial-lamp holders off their brackets", Action.SLID, "slip on two dial-lamp holders"),
    ("Unclip the dial lamp", Action.UNCLIPPED, "clip on the dial lamp"),
    ("Felt peeled off", Action.PEELED, "stick the felt down again"),
    ("Strap undone", Action.UNDONE, "do the strap up again"),
    ("Back panel off; unplug the aerial", Action.UNSCREWED, "refit back panel"),
    ("out", Action.UNSCREWED, "refit out"),
    ("off", Action.LIFTED, "refit off"),
    ("office chair arm", Action.UNSCREWED, "refit office chair arm"),
    ("knob {} {0}", Action.UNSCREWED, "refit knob {} {0}"),
    ("[/red] knob", Action.UNSCREWED, "refit [/red] knob"),
]


@pytest.mark.parametrize(("what", "action", "title"), TITLES)
def test_titles_turn_the_words_of_the_teardown_round(what: str, action: Action, title: str) -> None:
    assert title_of(what, action) == title


@pytest.mark.parametrize("what", ["", " ", ";", ". ", "off ; off", "x" * 10_000, "\u202eאבג"])
def test_any_words_give_a_title(what: str) -> None:
    assert title_of(what, Action.UNSCREWED).strip()


# --- drawing down -----------------------------------------------------------------------------------------

PUBLISHED = [
    # Four: one diagonal, then the other (1aauto.com, “How to properly torque wheel lug nuts”, four lug nuts; it
    # starts at the top right and takes the second diagonal from its other end).
    (4, "1 3 2 4"),
    # Five: every second one, twice round, as a star (instaforex-loprais.com, “Order for tightening wheel bolts”).
    (5, "1 3 5 2 4"),
    # Six: across, then on to a neighbour and across again (1aauto.com, six lug nuts).
    (6, "1 4 2 5 3 6"),
    # The legacy cross pattern of ASME PCC-1 for 8, 12, 16 and 20 bolts, from memory; that 7 follows 1 of 12 is
    # printed at knm-hydraulikk.no, “Bolt tightening - why is sequence so important?”.
    (8, "1 5 3 7 2 6 4 8"),
    (12, "1 7 4 10 2 8 5 11 3 9 6 12"),
    (16, "1 9 5 13 3 11 7 15 2 10 6 14 4 12 8 16"),
    (20, "1 11 6 16 3 13 8 18 5 15 10 20 2 12 7 17 4 14 9 19"),
]


@pytest.mark.parametrize(("n", "order"), PUBLISHED)
def test_crosswise_agrees_with_published_orders(n: int, order: str) -> None:
    assert " ".join(map(str, crosswise(n))) == order


@pytest.mark.parametrize("n", range(60))
def test_crosswise_takes_every_place_once(n: int) -> None:
    assert sorted(crosswise(n)) == list(range(1, n + 1))


@pytest.mark.parametrize("n", range(4, 60, 2))
def test_an_even_number_goes_opposite_by_opposite(n: int) -> None:
    order = crosswise(n)
    assert all(abs(a - b) == n // 2 for a, b in zip(order[::2], order[1::2], strict=True))


PATTERNS = [
    (0, "", "", ""),
    (1, "", "", "Start it by hand, then tighten."),
    (1, "", "2 Nm", "Start it by hand, then tighten to 2 Nm."),
    (2, "", "", "Start both by hand, then snug both, then tighten in turn, a little each, in two rounds."),
    (
        4,
        "diagonal",
        "2 Nm",
        "Start all 4 by hand, then snug them, then tighten to 2 Nm diagonal in two rounds: 1-3-2-4, "
        "numbered clockwise from the top left.",
    ),
    (4, "long ones first", "", "Start all 4 by hand, then snug them, then tighten: long ones first."),
    (3, "diagonal", "", "Start all 3 by hand, then snug them, then tighten: diagonal."),
]


@pytest.mark.parametrize(("n", "sequence", "torque", "text"), PATTERNS)
def test_the_pattern_in_words(n: int, sequence: str, torque: str, text: str) -> None:
    assert pattern(n, sequence, torque) == text


WORDS = [
    (3, "one after the other"),
    (4, "diagonal in two"),
    (5, "star in two"),
    (6, "crosswise in two"),
    (8, "crosswise in three"),
    (30, "opposite by"),
]


@pytest.mark.parametrize(("n", "words"), WORDS)
def test_the_pattern_depends_on_the_number(n: int, words: str) -> None:
    text = pattern(n)
    assert words in text
    assert text.startswith(f"Start all {n} by hand")


FACES = [
    ([("nut M4", 4), ("shakeproof washer M4", 4)], 4),
    ([("screw M4x10", 1), ("nut M4", 1), ("P-clip 6", 1)], 1),
    ([("grub screw M3x6", 4)], 0),
    ([("spring clip", 2)], 0),
    ([("hex bolt M5x35", 4), ("rubber bush", 8)], 4),
    ([("rh wood screw 3.5x16", 6)], 6),
    ([("Screws", 3)], 3),
    ([("screwdriver rack", 3)], 0),
    ([], 0),
]


@pytest.mark.parametrize(("fasteners", "n"), FACES)
def test_only_what_is_threaded_and_shares_a_face_is_drawn_down(fasteners: list[tuple[str, int]], n: int) -> None:
    assert on_one_face(fasteners) == n
