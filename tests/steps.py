"""Small steps between two looks at whether to stop: lines of the program that ran, whatever clock and load are."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any


class Steps:
    """Counts lines; `look` is handed to what is to stop, and says so from its `stop_at`th call on."""

    def __init__(self, stop_at: int) -> None:
        self.looks = 0
        self.most = 0
        """The most lines between two looks; the beginning and the end count as looks."""
        self.after = 0
        """Lines since it was told to stop."""
        self.where = ""
        """The last place before the longest stretch ended."""
        self._stop_at, self._since = stop_at, 0

    def look(self) -> bool:
        """Asked by what is to stop."""
        self.looks += 1
        self._next_stretch()
        return self.looks >= self._stop_at

    @contextmanager
    def counted(self) -> Iterator[None]:
        """Within it lines of this thread are counted."""
        before = sys.gettrace()
        sys.settrace(self._call)
        try:
            yield
        finally:
            sys.settrace(before)
            self._next_stretch()

    def _next_stretch(self) -> None:
        self.most, self._since = max(self.most, self._since), 0

    def _call(self, frame: FrameType, event: str, _argument: Any) -> Callable[..., Any]:
        self._since += 1
        self.after += self.looks >= self._stop_at
        if self._since > self.most:
            self.where = f"{frame.f_code.co_filename}:{frame.f_lineno}"
        return self._call
