"""Every place of the program, as functions that make its screen: what tests that go everywhere share."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from logbook.casework import sheets_of
from logbook.joining import Side, joined
from logbook.model.edits import keep_step
from logbook.model.measures import Length
from logbook.model.paths import put_at, record_kind
from logbook.model.step import Step
from logbook.session import Session
from logbook.session.joined_pictures import MissingOriginals
from logbook.session.joining import JoiningProposal, Planned
from logbook.store.branch import Parted
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.arrival_screen import ArrivalScreen
from logbook.tui.screens.bench_mode_screen import BenchModeScreen
from logbook.tui.screens.bench_screen import BenchScreen
from logbook.tui.screens.bill_screen import BillScreen
from logbook.tui.screens.case_screen import CaseScreen
from logbook.tui.screens.components_screen import ComponentsScreen
from logbook.tui.screens.costs_screen import CostsScreen
from logbook.tui.screens.dangers_screen import DangersScreen
from logbook.tui.screens.find_screen import FindScreen
from logbook.tui.screens.form_screen import FormScreen, ListScreen
from logbook.tui.screens.guide_screen import GuideScreen
from logbook.tui.screens.health_screen import HealthScreen
from logbook.tui.screens.help_screen import HelpScreen
from logbook.tui.screens.history_screen import HistoryScreen
from logbook.tui.screens.join_screen import JoinScreen
from logbook.tui.screens.layout_screen import LayoutScreen
from logbook.tui.screens.left_as_screen import LeftAsScreen
from logbook.tui.screens.link_photos_screen import LinkScreen
from logbook.tui.screens.loose_screw_screen import LooseScrewScreen
from logbook.tui.screens.missing_screen import MissingScreen
from logbook.tui.screens.new_thing_screen import NewScreen
from logbook.tui.screens.now_screen import NowScreen
from logbook.tui.screens.order_screen import OrderScreen
from logbook.tui.screens.paper_screen import PaperScreen
from logbook.tui.screens.phone_screen import PhoneScreen
from logbook.tui.screens.photos_screen import PhotosScreen
from logbook.tui.screens.picture_screen import PictureScreen
from logbook.tui.screens.pile_screen import PileScreen
from logbook.tui.screens.reassembly_screen import ReassemblyScreen
from logbook.tui.screens.shop_screen import ShopScreen
from logbook.tui.screens.taken_screen import TakenScreen
from logbook.tui.screens.teardown_screen import TeardownScreen
from logbook.tui.screens.thickness_screen import ThicknessScreen
from logbook.tui.screens.to_buy_screen import ToBuyScreen
from logbook.tui.screens.two_values_screen import TwoValuesScreen
from logbook.tui.screens.week_screen import WeekScreen
from logbook.tui.screens.what_if_screen import WhatIfScreen
from logbook.tui.screens.work_screen import WorkScreen


def another_thickness(session: Session) -> BookScreen:
    """What a thicker sheet would change in the case of the demo radio."""
    case = session.unit("R1").case
    assert case is not None
    return ThicknessScreen(session, "R1", sheets_of(case)[0], Length.of("12.2"))


def apart(session: Session) -> Planned:
    """The demo radio as it would be joined: at the bench and at the desk a step was added and one bag was changed."""
    before = session.unit("R1")
    sides = []
    for by, what, bag, minutes in (("AB", "scale lamp", "31", 40), ("CD", "aerial coil", "32", 55)):
        at = session.now + timedelta(minutes=minutes)
        new = Step(code="T23", what=what, bag=bag, at=at)
        record = put_at(keep_step(before, new), ("steps", "T05", "bag"), bag)
        sides.append(Side(record, f"{by}, 2026-03-17 {at:%H:%M}", at, by))
    branch = session.branch_of("R1")
    entries = list(branch.story.entries)
    result = joined(before, *sides)
    parted = Parted({}, 1, entries, entries)
    return Planned("R1", before, branch, parted, sides[0].by, sides[1].by, result, MissingOriginals((), ()))


def joining(session: Session) -> BookScreen:
    """What would happen when the demo book is joined with the one at the desk."""
    return JoinScreen(
        session, JoiningProposal("desk", (apart(session),), (), ("L1 was taken out of desk; here it stays.",))
    )


def two_values(session: Session) -> BookScreen:
    """One field of the demo radio that was changed on both computers."""
    record = apart(session).joined.record
    look = next(look for look in record.to_look_at if look.asks)
    return TwoValuesScreen(session, record, look, answer=lambda _: None, count="1 of 1")


SCREENS: dict[str, Callable[[Session], BookScreen]] = {
    "bench": BenchScreen,
    "arrival": lambda s: ArrivalScreen(s, "R1"),
    "teardown": lambda s: TeardownScreen(s, "R1"),
    "dangers": lambda s: DangersScreen(s, "R1"),
    "as it was left": lambda s: LeftAsScreen(s, "R1"),
    "leaving": lambda s: LeftAsScreen(s, "R1", leaving=True),
    "components": lambda s: ComponentsScreen(s, "R1"),
    "costs": lambda s: CostsScreen(s, "R1"),
    "what if": lambda s: WhatIfScreen(s, "R1"),
    "paid and taken": lambda s: TakenScreen(s, "R1"),
    "reassembly": lambda s: ReassemblyScreen(s, "R1"),
    "case": lambda s: CaseScreen(s, "R1"),
    "case of nothing yet": lambda s: CaseScreen(s, "G1"),
    "another thickness": another_thickness,
    "work": lambda s: WorkScreen(s, "R1"),
    "plan": WeekScreen,
    "what now": lambda s: NowScreen(s, 60),
    "bench mode": lambda s: BenchModeScreen(s, "R1"),
    "order of a step": lambda s: OrderScreen(s, "R1", "T11"),
    "order of all": lambda s: OrderScreen(s, "R1", ""),
    "missing": lambda s: MissingScreen(s, "R1"),
    "loose screw": lambda s: LooseScrewScreen(s, "R1"),
    "on paper": lambda s: PaperScreen(s, "R1"),
    "labels of the store": lambda s: PaperScreen(s, ""),
    "photos": lambda s: PhotosScreen(s, "R1"),
    "link a folder": lambda s: LinkScreen(s, "R1"),
    "phone": lambda s: PhoneScreen(s, "R1"),
    "picture": lambda s: PictureScreen(s, "R1", "photos", ()),
    "story": lambda s: HistoryScreen(s, "R1"),
    "to buy": ToBuyScreen,
    "to buy for one": lambda s: ToBuyScreen(s, "R1"),
    "bill": lambda s: BillScreen(s, "R1"),
    "is everything kept": HealthScreen,
    "joining": joining,
    "two values": two_values,
    "store": ShopScreen,
    "find": FindScreen,
    "form of a step": lambda s: FormScreen(s, "R1", ("steps", "T11")),
    "form of a component": lambda s: FormScreen(s, "R1", ("components", "OT")),
    "list of fasteners": lambda s: ListScreen(s, "R1", ("steps", "T11", "fasteners")),
    "scrap pile": PileScreen,
    "layout": lambda s: LayoutScreen(s, "R1"),
    "list of offcuts": lambda s: ListScreen(s, "", ("offcuts",)),
    "new wire": lambda s: NewScreen(
        s,
        "R1",
        ("steps", "T02", "connections"),
        record_kind(s.unit("R1"), ("steps", "T02", "connections")),
        of_list=True,
    ),
    "guide": lambda s: GuideScreen(s, "bench-line"),
    "list of the guide": lambda s: GuideScreen(s, ""),
    "guide on paper": lambda s: PaperScreen(s, "", guide="keys"),
    "keys": lambda s: HelpScreen(s, "Bench", [("x", "what it does")]),
}
"""Name to a function that makes the screen on the demo book."""
