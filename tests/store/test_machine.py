"""Any sequence of edits, undo, redo, restarts, crashes, full disks and outside edits agrees with a simple model."""

from __future__ import annotations

import errno
import os
import shutil
import tempfile
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from logbook.errors import StoreError
from logbook.store import KeepingLimits
from tests.store.building import SMALL, Clock, opened, put, radio
from tests.store.faults import Death, Faults

LIMITS = KeepingLimits(save_every=3, copies=2, copy_age=SMALL.copy_age, live_bytes=2_500)
VALUE = st.integers(1, 10**6)
AT = st.integers(1, 30)
Values = tuple[int, int]
"""What the unit and the shop say."""


class StoreMachine(RuleBasedStateMachine):
    """The model: the two values now, and what undo and redo lead to, for changes of the unit alone."""

    @initialize()
    def begin(self) -> None:
        where = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
        self.folder = Path(tempfile.mkdtemp(dir=where))
        self.clock = Clock()
        self.path = self.folder / "book"
        self.open()
        self.book.add_unit("R1", radio(), "R1 arrived")
        self.book.shop.begin({"v": 0}, "shop begun")
        self.now: Values = (0, 0)
        self.back: list[tuple[Values, bool]] = []
        self.forth: list[tuple[Values, bool]] = []

    def open(self) -> None:
        self.book = opened(self.path, limits=LIMITS, clock=self.clock)

    def says(self) -> Values:
        return self.book.units["R1"].state["v"], self.book.shop.state["v"]

    def edit(self, new: Values) -> None:
        """Set the unit's value, or both values in one change."""
        unit, shop = (put(n, o) for n, o in zip(new, self.now, strict=True))
        if new[1] == self.now[1]:
            self.book.units["R1"].change("unit", *unit)
        else:
            self.book.change_together("both", [(self.book.units["R1"], *unit), (self.book.shop, *shop)])

    def edited(self, new: Values) -> None:
        self.back.append((self.now, new[1] != self.now[1]))
        self.now, self.forth = new, []

    @rule(v=VALUE)
    def edit_unit(self, v: int) -> None:
        self.edit((v, self.now[1]))
        self.edited((v, self.now[1]))

    @rule(v=VALUE, w=VALUE)
    def edit_both(self, v: int, w: int) -> None:
        self.edit((v, w + 10**6))
        self.edited((v, w + 10**6))

    @rule()
    def undo(self) -> None:
        entry = self.book.units["R1"].undo()
        assert (entry is None) == (not self.back)
        if self.back:
            before, both = self.back.pop()
            self.forth.append((self.now, both))
            self.now = before

    @rule()
    def redo(self) -> None:
        entry = self.book.units["R1"].redo()
        assert (entry is None) == (not self.forth)
        if self.forth:
            after, both = self.forth.pop()
            self.back.append((self.now, both))
            self.now = after

    @rule()
    def restart(self) -> None:
        self.book.close()
        self.open()
        assert self.book.problems == []

    @rule()
    def crash(self) -> None:
        (self.path / ".lock").unlink()
        self.open()

    @rule(v=VALUE, both=st.booleans(), at=AT, what=st.sampled_from(["before", "after", "half"]))
    def die(self, v: int, at: int, what: str, *, both: bool) -> None:
        """The process ends during an edit: it is there whole or not at all."""
        new = (v, self.now[1] + both)
        with Faults(at, what).on():
            try:
                self.edit(new)
                self.edited(new)
            except Death:
                (self.path / ".lock").unlink(missing_ok=True)
        if self.book.read_only or not (self.path / ".lock").exists():
            self.open()
            found = self.says()
            assert found in (self.now, new)
            if found != self.now:
                self.edited(new)

    @rule(
        v=VALUE,
        both=st.booleans(),
        at=AT,
        what=st.sampled_from([errno.ENOSPC, errno.EIO, errno.EROFS, "short"]),
        stays=st.booleans(),
    )
    def bad_disk(self, v: int, at: int, what: object, *, both: bool, stays: bool) -> None:
        """A refused edit is not in memory; tried again on a good disk, it is kept."""
        new = (v, self.now[1] + both)
        with Faults(at, what, stays=stays).on():
            try:
                self.edit(new)
            except StoreError:
                refused = True
            else:
                refused = False
        if refused:
            assert self.says() == self.now
            self.edit(new)
        self.edited(new)

    @rule(how=st.sampled_from(["removed", "emptied", "edited", "garbage"]), closed=st.booleans())
    def outside(self, how: str, *, closed: bool) -> None:
        """Somebody spoils the document; the history holds everything."""
        if closed:
            self.book.close()
        document = self.path / "units/R1/unit.json"
        raw = document.read_bytes() if document.exists() else b""
        document.unlink(missing_ok=True)
        if how != "removed":
            document.write_bytes(
                {"emptied": b"", "edited": raw.replace(b"radio", b"clock"), "garbage": b"\0" * 50}[how]
            )
        if closed:
            self.open()

    @rule(rest=st.binary(min_size=1, max_size=40))
    @precondition(lambda self: hasattr(self, "book"))
    def torn(self, rest: bytes) -> None:
        """The process ended in the middle of a line."""
        self.book.close()
        with (self.path / "units/R1/unit.history.jsonl").open("ab") as file:
            file.write(rest.replace(b"\n", b" "))
        self.open()

    @invariant()
    def memory_disk_and_model_agree(self) -> None:
        if hasattr(self, "now"):
            assert self.says() == self.now
            reader = opened(self.path, limits=LIMITS, clock=self.clock, read_only=True)
            assert reader.units["R1"].state == radio() | {"v": self.now[0]}
            assert reader.shop.state == {"v": self.now[1]}

    def teardown(self) -> None:
        if hasattr(self, "book"):
            self.book.close()
            shutil.rmtree(self.folder, ignore_errors=True)


TestStore = StoreMachine.TestCase
TestStore.settings = settings(
    max_examples=int(os.environ.get("LOGBOOK_EXAMPLES", "40")),
    stateful_step_count=25,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
