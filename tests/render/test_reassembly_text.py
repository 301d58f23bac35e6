"""The reassembly list on paper: what stands where, and that nothing is left unsaid."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from logbook.costing import bill_of_materials, cost_views
from logbook.model.shop import Shop
from logbook.model.step import MemberDifference, RefitNotes, Remake
from logbook.model.unit import Unit
from logbook.model.words import Certainty, SignalWord
from logbook.reassembly import count_bag, differs, ledger, readiness, refit_list, tick, write_reading
from logbook.render.build_record import build_record_page
from logbook.render.paper_tables import Rows, reassembly_rows
from logbook.render.plain import width
from logbook.render.reassembly_list import reassembly_data, reassembly_text
from tests.builders import (
    at,
    fastener,
    handed_pair,
    hazard,
    hold,
    lump,
    mm,
    one_way,
    operation,
    part,
    part_set,
    relation,
    renewed,
    screws,
    setting,
    step,
    unit,
    wire,
)
from tests.hostile import HOSTILE, filled, texts

NOW = at("2026-03-17 19:30")


def text_of(of: Unit, now: datetime = NOW, **more: Any) -> str:
    listed = refit_list(of)
    return reassembly_text(of, listed, readiness(of, listed, now), version=7, kept_at=NOW, now=now, **more)


def record_text(of: Unit) -> str:
    """The build record."""
    shop, today = Shop(), NOW.date()
    bill, views = bill_of_materials(of, shop, today), cost_views(of, shop, today)
    made = build_record_page(
        of, shop, refit_list(of), ledger(of), bill=bill, views=views, version=1, kept_at=NOW, now=NOW, width=200
    )
    return made.text()


def table(of: Unit) -> Rows:
    """The list as a table."""
    listed = refit_list(of)
    return reassembly_rows(of, listed, readiness(of, listed, NOW))


def _held(**more: Any) -> RefitNotes:
    return RefitNotes(hold=hold(**more))


def block(text: str, number: str) -> str:
    """The lines of one entry of the list, with the hazards that stand above it."""
    entries = re.split(r"\n\n", text)
    return next(e for e in entries if re.search(rf"^\[.\] {number} ", e, re.MULTILINE))


def test_the_head_says_what_it_came_from() -> None:
    head = text_of(unit(step())).splitlines()[:2]
    assert re.fullmatch(r"R1 table radio +REASSEMBLY LIST", head[0])
    assert re.fullmatch(r"record version 7, kept 17 Mar 2026 \d\d:30 +printed 17 Mar 2026 \d\d:30", head[1])


def test_a_warning_stands_before_the_line_with_what_to_do_and_how_to_prove_it() -> None:
    of = unit(step(hazards=[hazard("stored charge", "bleed it", "below 10 V", signal=SignalWord.DANGER)]))
    lines = block(text_of(of), "A02").splitlines()
    warned = next(i for i, line in enumerate(lines) if "DANGER" in line)
    ticked = next(i for i, line in enumerate(lines) if line.startswith("[ ] A02"))
    assert lines[warned].strip() == "DANGER  stored charge. Before: bleed it. Prove it: below 10 V."
    assert "initials ____" in lines[warned + 1]
    assert warned < ticked


def test_pieces_stand_by_bag_each_kind_with_a_box() -> None:
    of = unit(step(fasteners=[screws(6, 5), fastener("washer", 4, bag="9"), renewed("bush", 8)], bag="1"))
    said = block(text_of(of), "A02")
    assert "Bag 1, 5 in all: [ ] 5 rh wood screw 3.5x16" in said
    assert "Bag 9, 4 in all: [ ] 4 washer" in said
    assert re.search(r"New, 9 in all: .*\[ \] 8 bush \(renewed\)\s+NOT\s+HERE", said, re.DOTALL)
    assert "(missing on\n" in said or "(missing on arrival)" in said


def test_first_comes_before_what_to_do() -> None:
    of = unit(step("T01", "clip"), step("T02", "cord", "unsoldered"), relations=[
        relation("T01", "T02", "threaded", items="P-clip")])  # fmt: skip
    text = text_of(of)
    first, own = block(text, "A01a"), block(text, "A02")
    assert "[ ] A01a  first: P-clip, before cord  (T02)" in first
    assert "FIRST  P-clip" in first
    assert "- Tin both sides" in own
    assert text.index("A01a  first") < text.index("- Tin both sides")


def test_a_reading_written_at_a_line_without_a_hold_point_stands_on_paper() -> None:
    of = unit(step("T01", "clip"))
    listed = refit_list(of)
    read = write_reading(of, "T01", "0.4 mm play", "AB", NOW)
    said = reassembly_text(read, listed, readiness(read, listed, NOW), version=1, kept_at=NOW, now=NOW)
    assert "reading: 0.4 mm play" in said


def test_connections_settings_and_lifting_are_said() -> None:
    of = unit(
        step("T01", "lead", "unsoldered", connections=[wire("W2", "tag A", "tag 4", colour="brown")]),
        step("T02", "pointer", "recorded only", settings=[setting(), setting("gap", "", length=mm("0.8"))]),
        step("T03", "chassis", "lifted out", weight_kg=Decimal("5.8"), support="keep level", helper="one more"),
    )
    text = text_of(of)
    assert re.search(r"\[ \] W2 brown: tag A to tag 4", text)
    assert "[ ] Set as found: pointer at the low stop: 12 mm from the left end" in text
    assert "[ ] Check it once all is tight: pointer at the low stop, read again ____" in " ".join(text.split())
    assert "[ ] Set as found: gap: 0.8 mm" in text
    assert text.index("Set as found: gap") < text.index("Check it once all is tight: gap")
    assert "Lifting: 5.8 kg, keep level, helper: one more" in text


def test_a_hold_point_leaves_room_for_reading_and_initials_until_they_are_there() -> None:
    of = unit(step("T01", "cover", refit=_held(limit="2 MOhm")))
    said = block(text_of(of), "A02")
    assert "HOLD POINT H1, before A03: inside sizes agree" in said
    assert "Limit: 2 MOhm" in said
    assert re.search(r"H-W: reading _{8,}\s+initials _{8}", said)
    of = write_reading(of, "T01", "2.4 MOhm", "AB", NOW)
    assert "reading 2.4 MOhm   initials AB" in block(text_of(of), "A02")


def test_the_local_code_is_named_wherever_only_a_competent_person_may_go_on() -> None:
    of = unit(step(refit=_held(competent=True)))
    assert "Only by a competent person; local codes and licensed practice" in block(text_of(of), "A02")


def test_a_wait_says_how_long_and_leaves_room_for_when_it_began() -> None:
    of = unit(step(one_way=one_way(measured=True, remake=Remake(method="glue it", clamp=60, cure=1440))))
    said = block(text_of(of), "A02")
    assert "glue it" in said
    assert "Wait: 25 h before what follows; begun at ____" in said


def test_every_member_of_a_set_has_a_box_and_its_own_difference() -> None:
    of = unit(
        step(
            "T01",
            "runner",
            fasteners=[screws(4)],
            bag="7",
            each_of="D",
            differences=[MemberDifference(member="D2", bag="8", note="shim")],
        ),
        sets=[part_set("D", 3)],
    )
    of = tick(of, "check", at=NOW, initials="AB")
    said = block(text_of(tick(of, "T01/D1", at=NOW, initials="AB")), "A02")
    assert "Each: [x] D1   [ ] D2   [ ] D3" in said
    assert re.search(r"D2: .*shim", said)
    assert "[ ] A02" in said


def test_a_handed_pair_is_called_mirrored() -> None:
    of = unit(step(each_of="LR"), sets=[handed_pair()])
    assert "A handed pair, mirrored: [ ] L   [ ] R" in text_of(of)


def test_why_a_line_is_not_ready_and_room_for_what_differs() -> None:
    of = unit(step("T01", "cord"), parts=[part(for_steps=("T01",))])
    said = block(text_of(of), "A02")
    assert "NOT READY: new mains cord not here" in said
    assert re.search(r"different from plan: _{30,}", said)


def test_what_was_done_is_said_and_no_longer_asked() -> None:
    of = tick(unit(step("T01", "back", fasteners=[screws()], bag="1")), "check", at=NOW, initials="AB")
    of = differs(tick(of, "T01", at=NOW, initials="CD"), "T01", "one screw longer")
    said = block(text_of(of), "A02")
    assert said.startswith("[x] A02")
    assert re.search(r"done 17 Mar 2026 \d\d:30 CD", said)
    assert "DIFFERS: one screw longer" in said
    assert "different from plan: ___" not in said


def test_an_override_and_a_step_changed_since_are_said() -> None:
    of = tick(unit(step("T01", "back"), parts=[part(for_steps=("T01",))]), "check", at=NOW, initials="AB")
    of = tick(of, "T01", at=NOW, initials="AB", override="an old cord does")
    changed = of.model_copy(update={"steps": (of.steps[0].model_copy(update={"note": "turned round"}),)})
    assert "LOOK AGAIN" not in text_of(of)
    said = block(text_of(changed), "A02")
    assert "DONE ANYWAY: an old cord does" in said
    assert "LOOK AGAIN: changed since it was ticked: what was noted." in said
    assert "LOOK AGAIN  A02" in record_text(changed), "in the build record"
    assert [row[-1] for row in table(changed)] == ["look again", "no", "yes", "no"]


def test_guesses_come_first_then_what_was_wrong_then_open_counts() -> None:
    of = unit(
        step("T01", "clip", certainty=Certainty.GUESS, certainty_note="left or right"),
        step("T02", "cord", as_found="two-core", as_found_wrong=True, should_be="three-core"),
        step("T03", "speaker", fasteners=[fastener("washer", 4)], bag="5"),
    )
    text = text_of(count_bag(of, "5", "washer", 3, at=NOW))
    order = [text.index(w) for w in ("GUESS           T01", "AS FOUND WRONG  T02", "COUNT DIFFERS   bag 5", "\nLINES")]
    assert order == sorted(order)
    assert "left or right" in text
    assert "three-core" in text


def test_a_sub_assembly_is_headed_and_finished_first() -> None:
    of = unit(step("T01", "chassis"), step("T02", "valves", inside="CH"), sub_assemblies=[lump("CH", "T01")])
    text = text_of(of)
    order = [text.index(w) for w in ("-- inside chassis --", "valves", "-- the unit itself --", "refit chassis")]
    assert order == sorted(order)


def test_every_step_is_on_a_line_or_left_out_with_a_reason() -> None:
    of = unit(step("T01", "plug", "recorded only"), step("T02", "back"), step("T03", "foot", planned=True))
    text = text_of(of)
    left = text[text.index("LEFT OUT, AND WHY") :]
    assert "(T02)" in text
    assert re.search(r"^T03  .*not taken off", left, re.MULTILINE)
    assert "T01" in left or "(T01)" in text


def test_the_audit_counts_every_bag() -> None:
    of = unit(step("T01", "back", fasteners=[screws(6, 5), fastener("washer", 6)], bag="1"))
    text = text_of(of)
    assert "Fasteners: 12 holes, 11 found = 11 to use again + 0 to renew + 0 scrap." in text
    assert "[ ] bag 1 empty  held 11: 5 rh wood screw 3.5x16, 6 washer (T01)" in text
    open_ends = text[text.index("STILL TO DO BEFORE THE UNIT CAN BE CLOSED") :]
    assert "[ ] 3 of 3 lines are not done." in open_ends
    assert "refit back" not in open_ends, "lines that are not done are counted, not named again"


def test_a_count_that_differs_is_open_but_does_not_hold_the_line_up() -> None:
    of = unit(step("T03", "speaker", fasteners=[fastener("washer", 4)], bag="5"))
    said = block(text_of(count_bag(of, "5", "washer", 3, at=NOW)), "A02")
    assert "COUNT DIFFERS: bag 5: 1 washer short" in said
    assert "NOT READY" not in said


def test_an_empty_record_says_so() -> None:
    assert "Nothing was taken off yet, so nothing goes back." in text_of(unit())


def test_ready_only_leaves_out_what_cannot_be_done_and_says_why() -> None:
    of = unit(
        step("T01", "shade", "lifted out", stated=True),
        step("T02", "cord", stated=True),
        step("T03", "foot", stated=True),
        parts=[part(for_steps=("T02",))],
        operations=[operation("B01", for_steps=("T03",))],
    )
    text = text_of(of, ready_only=True)
    lines = text[text.index("\nLINES") : text.index("NOT READY, AND WHY")]
    assert "shade" in lines
    assert "cord" not in lines
    assert "new mains cord not here" in text[text.index("NOT READY, AND WHY") :]


@pytest.mark.parametrize("start", range(0, len(HOSTILE), 4))
def test_hostile_records_stay_on_the_page(start: int) -> None:
    of = unit(
        step("T01", hazards=[hazard()], fasteners=[screws()], bag="1", certainty=Certainty.GUESS),
        step("T02", "cord", connections=[wire()], settings=[setting()], refit=_held()),
        step("T03", "drawer", each_of="D", one_way=one_way(measured=True, remake=Remake(method="glue"))),
        sets=[part_set()],
        parts=[part(for_steps=("T02",))],
    )
    text = text_of(filled(of, texts(start)))
    assert all(width(line) <= 80 for line in text.splitlines())
    assert all(line.isprintable() for line in text.splitlines())


def test_values_and_text_are_of_one_list() -> None:
    of = unit(step("T01", "back", fasteners=[screws()], bag="1"), step("T02", "foot"))
    of = tick(of, "check", at=NOW, initials="AB")
    listed = refit_list(of)
    data = reassembly_data(of, listed, readiness(of, listed, NOW), version=7, kept_at=NOW, now=NOW)
    assert [x["number"] for x in data["lines"]] == re.findall(r"^\[.\] (A\d+)", text_of(of), re.MULTILINE)
    assert data["lines"][0]["kept"]["check"]["initials"] == "AB"
    assert data["lines"][0]["readiness"]["done"] is True
    assert data["version"] == 7
    assert data["ledger"]["bags"]["1"]["kinds"] == {"rh wood screw 3.5x16": 4}


def test_time_moves_a_wait_to_its_end() -> None:
    of = unit(step("T01", "lid"), step("T02", "joint", one_way=one_way(measured=True, remake=Remake(cure=60))))
    of = tick(of, "check", at=NOW, initials="AB")
    of = tick(of, "T02", at=NOW, initials="AB")
    assert "NOT READY" in block(text_of(of), "A03")
    assert "NOT READY" not in block(text_of(of, NOW + timedelta(minutes=61)), "A03")


def test_what_is_free_of_each_other_stands_side_by_side() -> None:
    of = unit(
        *(step(f"T{i:02d}", f"part {i}", stated=True) for i in (1, 2, 3)),
        relations=[relation("T01", "T02"), relation("T01", "T03")],
    )
    said = " ".join(text_of(of).split())
    assert "SIDE BY SIDE Free of each other: in any order, or by two people at once. - A02 " in said
    group = said.partition("at once. - ")[2].partition(" AUDIT")[0]
    assert ("part 2" in group, "part 3" in group, "part 1" in group) == (True, True, False)
    assert "SIDE BY SIDE" not in text_of(unit(step("T01"), step("T02")))


def test_a_line_that_waits_says_for_which() -> None:
    of = unit(
        step("T01", "lid"), step("T02", "board"), step("T03", "foot"), parts=[part("N1", "foot", for_steps=("T03",))]
    )
    said = " ".join(text_of(of, ready_only=True).split())
    assert "A02 refit foot: new foot not here" in said
    assert "A03 refit board: waits for A02." in said
    assert "A04 refit lid: waits for A03." in said
