"""Every screen by its name, loaded when it is first opened; so no screen imports another that it only leads to."""

from __future__ import annotations

import importlib
from typing import Any

from logbook.session import Session
from logbook.tui.frame import BookScreen

_SCREENS = "logbook.tui.screens"
CLASSES = {
    "arrival": "arrival:ArrivalScreen",
    "bench": "bench:BenchScreen",
    "bench_mode": "bench_mode:BenchModeScreen",
    "bill": "bill:BillScreen",
    "case": "case:CaseScreen",
    "choose": "choose:ChooseScreen",
    "components": "components:ComponentsScreen",
    "costs": "costs:CostsScreen",
    "dangers": "dangers:DangersScreen",
    "find": "find:FindScreen",
    "form": "form:FormScreen",
    "guide": "guide:GuideScreen",
    "health": "health:HealthScreen",
    "help": "help:HelpScreen",
    "history": "history:HistoryScreen",
    "join": "join:JoinScreen",
    "left_as": "left_as:LeftAsScreen",
    "link": "link_photos:LinkScreen",
    "loose_screw": "loose_screw:LooseScrewScreen",
    "missing": "missing:MissingScreen",
    "now": "now:NowScreen",
    "order": "order:OrderScreen",
    "page": "page:PageScreen",
    "paper": "paper:PaperScreen",
    "phone": "phone:PhoneScreen",
    "photos": "photos:PhotosScreen",
    "picture": "picture:PictureScreen",
    "pile": "pile:PileScreen",
    "reassembly": "reassembly:ReassemblyScreen",
    "reassembly_line": "reassembly_line:ReassemblyLineScreen",
    "shop": "shop:ShopScreen",
    "taken": "taken:TakenScreen",
    "teardown": "teardown:TeardownScreen",
    "to_buy": "to_buy:ToBuyScreen",
    "two_values": "two_values:TwoValuesScreen",
    "unkept": "unkept:UnkeptScreen",
    "week": "week:WeekScreen",
    "what_if": "what_if:WhatIfScreen",
    "work": "work:WorkScreen",
}
"""The module under `screens` and the class in it."""


def screen_named(name: str, session: Session, *given: Any, **more: Any) -> BookScreen:
    """The screen of that name, made from the session and what it is given besides.

    Raises:
        KeyError: there is no screen of that name.
    """
    module, _, kind = CLASSES[name].partition(":")
    screen = getattr(importlib.import_module(f"{_SCREENS}.{module}"), kind)(session, *given, **more)
    assert isinstance(screen, BookScreen)  # noqa: S101 - the table above names only these
    return screen
