"""Two themes for a workshop: dark on light near the window, light on dark in the evening.

Blue is structure, brass is where you are and what can be pressed, green is done or holding, yellow waits or is to
buy, red is danger or over, violet is a hold point. Everything reads without colour: these only stand on top of words
and signs. Contrast of words on their grounds is at least 4.5 to 1 (WCAG 2.2, success criterion 1.4.3).
"""

from __future__ import annotations

from textual.theme import Theme

LIGHT = Theme(
    name="workshop-light",
    dark=False,
    primary="#1b5a7c",
    secondary="#5f3299",
    accent="#854700",
    warning="#755000",
    error="#a31c28",
    success="#1f632c",
    foreground="#1f1d19",
    background="#f8f5ee",
    surface="#ebe8df",
    panel="#e9e3d6",
    variables={
        "block-cursor-background": "#c9dfeb",
        "block-cursor-foreground": "#1f1d19",
        "block-cursor-text-style": "bold",
    },
)
DARK = Theme(
    name="workshop-dark",
    dark=True,
    primary="#86c1de",
    secondary="#c9a8f2",
    accent="#e8b062",
    warning="#e2c257",
    error="#ff938c",
    success="#84c891",
    foreground="#ebe6da",
    background="#15181b",
    surface="#20292f",
    panel="#20262c",
    variables={
        "block-cursor-background": "#2b4254",
        "block-cursor-foreground": "#ebe6da",
        "block-cursor-text-style": "bold",
    },
)
