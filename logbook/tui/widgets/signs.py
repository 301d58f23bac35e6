"""Which signs this terminal can show."""

from __future__ import annotations

import os
import sys

from logbook.render.glyphs import Glyphs, glyphs_for


def glyphs_now() -> Glyphs:
    """Fine ones, or plain ASCII where the output is not UTF-8 or the terminal is a bare console."""
    output = sys.__stderr__  # where Textual writes
    return glyphs_for(output.encoding if output is not None else "", os.environ.get("TERM", ""))
