"""Contrast of every ink on every ground it stands on, as WCAG 2.2 computes it (success criterion 1.4.3: 4.5 to 1)."""

from __future__ import annotations

import pytest
from textual.color import Color
from textual.theme import Theme

from logbook.tui.look.palette import FROM_THEME, HUES, Inks, colours_of, hue, sixteen_colours
from logbook.tui.theme import DARK, LIGHT

WORDS = ("text", "muted", "head", "accent", "good", "wait", "bad", "hold")
HUE_INKS = tuple(hue(number) for number in range(HUES))
BOTH = pytest.mark.parametrize("theme", [DARK, LIGHT], ids=lambda theme: theme.name)


def luminance(colour: Color) -> float:
    """Relative luminance, as WCAG 2.2 defines it."""
    parts = []
    for value in (colour.r, colour.g, colour.b):
        share = value / 255
        parts.append(share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4)
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(one: Color, other: Color) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_yardstick_itself() -> None:
    assert round(contrast(Color.parse("#ffffff"), Color.parse("#000000")), 2) == 21
    assert round(contrast(Color.parse("#777777"), Color.parse("#ffffff")), 2) == 4.48


def inks_of(theme: Theme) -> dict[str, Color]:
    return colours_of(theme.to_color_system().generate(), dark=theme.dark)


@BOTH
def test_every_pair_that_occurs_can_be_read(theme: Theme) -> None:
    inks = inks_of(theme)
    pairs = [(ink, ground) for ground in ("paper", "here", "cursor") for ink in (*WORDS, *HUE_INKS)]
    pairs += [("ink", ground) for ground in (*HUE_INKS, "bad", "wait", "good", "hold", "head", "accent")]
    for number in range(1, HUES + 1):
        pairs += [(ink, f"tint{number}") for ink in ("text", "muted", "wait", "accent", f"hue{number}")]
    pairs += [(ink, "raised") for ink in ("text", "muted", "accent")]
    weak = {pair: round(contrast(inks[pair[0]], inks[pair[1]]), 2) for pair in pairs}
    assert not {pair: found for pair, found in weak.items() if found < 4.5}


@BOTH
def test_rules_and_the_cursors_ground_are_seen(theme: Theme) -> None:
    inks = inks_of(theme)
    assert contrast(inks["rule"], inks["paper"]) >= 2.3
    assert contrast(inks["faint"], inks["paper"]) >= 1.3
    assert contrast(inks["cursor"], inks["paper"]) >= 1.15


def test_every_ink_is_one_of_the_sixteen_colours_as_well() -> None:
    assert set(sixteen_colours()) == set(inks_of(DARK))
    assert set(FROM_THEME) <= set(sixteen_colours())


def test_without_colour_grounds_are_reversed_and_tints_are_not() -> None:
    plain = Inks(sixteen_colours(), plain=True)
    assert plain("bold ink on-bad").reverse
    assert plain("ink on-hue1").reverse
    assert plain("text", "cursor").reverse
    assert not plain("invert text", "cursor").reverse
    assert not plain("text on-tint1").reverse
    assert not plain("text", "here").reverse
    assert plain("bold under text").bold
    assert plain("under text").color is None
