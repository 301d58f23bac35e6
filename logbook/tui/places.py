"""Every place with its actions, for checking a person's own keys and for tests of the whole table."""

from __future__ import annotations

from logbook.tui.actions import Act
from logbook.tui.frame import BookScreen


def places() -> dict[str, tuple[Act, ...]]:
    """The name of each kind of screen, with everything that can be done there."""
    import importlib
    import pkgutil

    from logbook.tui import screens

    for module in pkgutil.iter_modules(screens.__path__):
        importlib.import_module(f"{screens.__name__}.{module.name}")
    found: dict[str, tuple[Act, ...]] = {}
    waiting: list[type[BookScreen]] = [BookScreen]
    while waiting:
        kind = waiting.pop()
        waiting += kind.__subclasses__()
        if kind.__module__.startswith(screens.__name__):
            found[kind.__name__] = kind.all_acts()
    return dict(sorted(found.items()))
