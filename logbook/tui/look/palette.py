"""Which colour an ink has: the one table between what is meant and what is shown.

Most inks are colours of the theme, or one of them laid thinly over another. The six hues, one for each unit or part,
are not in a theme and stand here for dark and for light paper. On the terminal's own sixteen colours each ink is one
of these; where no colour at all may be shown, grounds are reversed and words and strokes say the rest.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from rich.style import Style
from textual.color import Color


class Mixed(NamedTuple):
    """A colour of the theme, and how much of it lies over the background."""

    name: str
    dark: float = 1.0
    """How much of it on dark paper."""
    light: float | None = None
    """How much on light paper, where that is another share."""


FROM_THEME: dict[str, Mixed] = {
    "paper": Mixed("background"),
    "raised": Mixed("panel"),
    "here": Mixed("surface"),
    "cursor": Mixed("primary", 0.2, 0.12),
    "text": Mixed("foreground"),
    "muted": Mixed("foreground", 0.72),
    "head": Mixed("primary"),
    "accent": Mixed("accent"),
    "good": Mixed("success"),
    "wait": Mixed("warning"),
    "bad": Mixed("error"),
    "hold": Mixed("secondary"),
    "rule": Mixed("foreground", 0.4),
    "faint": Mixed("foreground", 0.22),
    "ink": Mixed("background"),
}
"""Grounds: all, raised, the cursor's row without and with the focus. Words: said, beside, heads, where you are, good,
waiting, dangerous, held. Rules and grids. Letters on a hue or on a signal word."""

HUES_ON_DARK = ("#5fc8bb", "#a3b4f4", "#bac86c", "#e69c74", "#cba4e8", "#ee9ab1")
HUES_ON_LIGHT = ("#0d6a62", "#3d54ab", "#555f00", "#97421a", "#743a96", "#a3295a")
HUES = len(HUES_ON_DARK)
TINT_ON_DARK, TINT_ON_LIGHT = 0.22, 0.1
"""How much of a hue lies over the background where words stand on it."""

SIXTEEN = {
    "paper": "ansi_default", "raised": "ansi_default", "here": "ansi_default", "cursor": "ansi_blue",
    "text": "ansi_default", "muted": "ansi_default", "head": "ansi_cyan", "accent": "ansi_yellow",
    "good": "ansi_green", "wait": "ansi_yellow", "bad": "ansi_red", "hold": "ansi_magenta",
    "rule": "ansi_bright_black", "faint": "ansi_bright_black", "ink": "ansi_black",
    "hue1": "ansi_cyan", "hue2": "ansi_bright_magenta", "hue3": "ansi_green", "hue4": "ansi_yellow",
    "hue5": "ansi_magenta", "hue6": "ansi_red",
}  # fmt: skip
"""For a theme of the terminal's own colours; a tint has none."""

QUIET = ("", "paper", "raised", "here")
"""Grounds that are not reversed where there is no colour; neither are tints."""
MARKS = ("bold", "under", "invert")


def hue(number: int) -> str:
    """The ink of the unit or part with that number from 0 on; after six they begin again."""
    return f"hue{number % HUES + 1}"


def colours_of(theme: Mapping[str, str], *, dark: bool) -> dict[str, Color]:
    """Every ink as a colour, from the colours of a theme."""
    paper = Color.parse(theme["background"])
    found = {}
    for ink, mixed in FROM_THEME.items():
        share = mixed.dark if dark or mixed.light is None else mixed.light
        found[ink] = paper.blend(Color.parse(theme[mixed.name]), share)
    hues, tint = (HUES_ON_DARK, TINT_ON_DARK) if dark else (HUES_ON_LIGHT, TINT_ON_LIGHT)
    for number, colour in enumerate(hues, 1):
        found[f"hue{number}"] = Color.parse(colour)
        found[f"tint{number}"] = paper.blend(Color.parse(colour), tint)
    return found


def sixteen_colours() -> dict[str, Color]:
    """Every ink as one of the terminal's own colours."""
    found = {ink: Color.parse(name) for ink, name in SIXTEEN.items()}
    for number in range(1, HUES + 1):
        found[f"tint{number}"] = Color.parse("ansi_default")
    return found


class Inks:
    """Inks as styles. `plain` is for a terminal that may show no colour at all."""

    def __init__(self, colours: Mapping[str, Color], *, plain: bool = False) -> None:
        self.plain = plain
        self._colours = {ink: colour.rich_color for ink, colour in colours.items()}
        self._known: dict[tuple[str, str], Style] = {}

    def __call__(self, ink: str, ground: str = "paper") -> Style:
        """The style of an ink, on a ground of its own or else on this one."""
        style = self._known.get((ink, ground))
        if style is None:
            style = self._known[ink, ground] = self._style(ink, ground)
        return style

    def _style(self, ink: str, ground: str) -> Style:
        words = ink.split()
        colours = [word for word in words if word not in MARKS and not word.startswith("on-")]
        grounds = [word[3:] for word in words if word.startswith("on-")]
        ground = grounds[-1] if grounds else ground
        colour = colours[-1] if colours else "text"
        bold, underline, reverse = (mark in words for mark in MARKS)
        if self.plain:
            loud = ground not in QUIET and not ground.startswith("tint")
            dim = colour == "faint" or None
            return Style(bold=bold, underline=underline, reverse=loud != reverse, dim=dim)
        paint, lies_on = self._colours[colour], self._colours[ground]
        return Style(color=paint, bgcolor=lies_on, bold=bold, underline=underline, reverse=reverse)
