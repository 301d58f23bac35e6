"""Every place with its actions, for checking a person's own keys and for tests of the whole table."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache

from logbook.tui.actions import Act, key_name, keymap_problems
from logbook.tui.screen_frame import BookScreen
from logbook.tui.settings import Settings


def screens() -> dict[str, type[BookScreen]]:
    """Every kind of screen by its name."""
    import importlib
    import pkgutil

    from logbook.tui import screens as of

    for module in pkgutil.iter_modules(of.__path__):
        importlib.import_module(f"{of.__name__}.{module.name}")
    found: dict[str, type[BookScreen]] = {}
    waiting: list[type[BookScreen]] = [BookScreen]
    while waiting:
        kind = waiting.pop()
        waiting += kind.__subclasses__()
        if kind.__module__.startswith(of.__name__):
            found[kind.__name__] = kind
    return dict(sorted(found.items()))


def places() -> dict[str, tuple[Act, ...]]:
    """The name of each kind of screen, with everything that can be done there."""
    return {name: kind.all_acts() for name, kind in screens().items()}


def with_usable_keys(settings: Settings) -> Settings:
    """The settings with their keys, or without them and with what is wrong: no such action, or two with one key."""
    keys = settings.keys
    if not keys:
        return settings
    everywhere = places()
    known = {act.id for acts in everywhere.values() for act in acts}
    wrong = [f"No action is called “{action}”." for action in keys if action not in known]
    for acts in everywhere.values():
        here = {act.id for act in acts}
        wrong += keymap_problems(acts, {action: key for action, key in keys.items() if action in here})
    if not wrong:
        return settings
    said = tuple(f"{settings.source}: {sentence}" for sentence in dict.fromkeys(wrong))
    return replace(settings, keys={}, problems=(*settings.problems, *said))


@cache
def keys_of_actions() -> dict[str, str]:
    """The keys of every action as they come along, by its name: `bench.new` is `n`."""
    return {act.id: act.keys for acts in places().values() for act in acts}


def key_of_action(keymap: Mapping[str, str]) -> Callable[[str], str]:
    """What gives the key of an action by its name, as a person has bound it.

    Args:
        keymap: a person's own keys: action id to keys.
    """

    def key_of(action: str) -> str:
        keys = keymap.get(action) or keys_of_actions().get(action, "")
        return " ".join(key_name(key.strip()) for key in keys.split(",")) if keys else f"(no key: {action})"

    return key_of
