"""Every screen by its name, loaded when it is first opened; so no screen imports another that it only leads to."""

from __future__ import annotations

import importlib
from typing import Any

from logbook.session import Session
from logbook.tui.screen_frame import BookScreen

_SCREENS = "logbook.tui.screens"
CLASSES = {
    "arrival": "arrival_screen:ArrivalScreen",
    "bench": "bench_screen:BenchScreen",
    "bench_mode": "bench_mode_screen:BenchModeScreen",
    "bill": "bill_screen:BillScreen",
    "case": "case_screen:CaseScreen",
    "choose": "choose_screen:ChooseScreen",
    "components": "components_screen:ComponentsScreen",
    "costs": "costs_screen:CostsScreen",
    "dangers": "dangers_screen:DangersScreen",
    "find": "find_screen:FindScreen",
    "form": "form_screen:FormScreen",
    "guide": "guide_screen:GuideScreen",
    "health": "health_screen:HealthScreen",
    "help": "help_screen:HelpScreen",
    "history": "history_screen:HistoryScreen",
    "join": "join_screen:JoinScreen",
    "left_as": "left_as_screen:LeftAsScreen",
    "link": "link_photos_screen:LinkScreen",
    "loose_screw": "loose_screw_screen:LooseScrewScreen",
    "missing": "missing_screen:MissingScreen",
    "now": "now_screen:NowScreen",
    "order": "order_screen:OrderScreen",
    "page": "page_screen:PageScreen",
    "paper": "paper_screen:PaperScreen",
    "phone": "phone_screen:PhoneScreen",
    "photos": "photos_screen:PhotosScreen",
    "picture": "picture_screen:PictureScreen",
    "pile": "pile_screen:PileScreen",
    "reassembly": "reassembly_screen:ReassemblyScreen",
    "reassembly_line": "reassembly_line_screen:ReassemblyLineScreen",
    "shop": "shop_screen:ShopScreen",
    "taken": "taken_screen:TakenScreen",
    "teardown": "teardown_screen:TeardownScreen",
    "to_buy": "to_buy_screen:ToBuyScreen",
    "two_values": "two_values_screen:TwoValuesScreen",
    "unkept": "unkept_screen:UnkeptScreen",
    "week": "week_screen:WeekScreen",
    "what_if": "what_if_screen:WhatIfScreen",
    "work": "work_screen:WorkScreen",
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
