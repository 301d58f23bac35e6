"""The inks of the graded words of hazard, the same wherever one stands."""

from __future__ import annotations

from logbook.model.words import SignalWord

SIGNAL_INKS = {
    SignalWord.DANGER: "bad",
    SignalWord.WARNING: "bad",
    SignalWord.CAUTION: "wait",
    SignalWord.NOTICE: "head",
}
"""By signal word."""
