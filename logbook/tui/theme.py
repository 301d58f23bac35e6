"""Two themes for a workshop: dark on light near the window, light on dark in the evening.

Everything reads without colour; these only stand on top of words and signs. Contrast of every named colour
on its background is at least 4.7 to 1.
"""

from __future__ import annotations

from textual.theme import Theme

LIGHT = Theme(
    name="workshop-light",
    dark=False,
    primary="#2b5f75",
    secondary="#7a5c2e",
    accent="#8a4b08",
    warning="#8a5a00",
    error="#a3242b",
    success="#2f6b3a",
    foreground="#1c1c1a",
    background="#f6f3ec",
    surface="#ece7db",
    panel="#ded7c6",
)
DARK = Theme(
    name="workshop-dark",
    dark=True,
    primary="#7fb4cc",
    secondary="#c9a66b",
    accent="#e0a458",
    warning="#e3b341",
    error="#f0787f",
    success="#7fc08a",
    foreground="#e6e2d8",
    background="#15171a",
    surface="#1e2126",
    panel="#2a2e35",
)
