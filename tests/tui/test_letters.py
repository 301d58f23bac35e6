"""What each letter means at each place, from the one table of actions: `python -m tests.tui.test_letters` prints it.

A key should mean the same everywhere; the letters that do not yet are named at its end.
"""

from __future__ import annotations

from collections import defaultdict

from logbook.tui.places import places


def meanings() -> dict[str, dict[str, list[str]]]:
    """Letter to label to the places where it means that."""
    found: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    for place, acts in places().items():
        for act in acts:
            for key in act.keys.split(","):
                if len(key) == 1 and key.isalpha():
                    found[key][act.label].append(place)
    return found


def doubtful() -> dict[str, list[str]]:
    """The letters that mean different things at different places, with all that they mean."""
    return {letter: sorted(labels) for letter, labels in sorted(meanings().items()) if len(labels) > 1}


def table() -> str:
    """The list to read: a letter, what it means, where."""
    lines = []
    for letter, labels in sorted(meanings().items(), key=lambda item: (item[0].lower(), item[0])):
        for label, where in sorted(labels.items()):
            shown = "everywhere" if len(where) == len(places()) else ", ".join(where)
            lines.append(f"{letter}  {label:<24} {shown}")
    return "\n".join(lines)


EVERYWHERE = {"z": "undo", "Z": "redo", "y": "copy", "q": "leave", "H": "history"}


def test_the_table_has_every_letter_of_every_place() -> None:
    shown = table()
    for place, acts in places().items():
        for act in acts:
            for key in act.keys.split(","):
                if len(key) == 1 and key.isalpha():
                    assert f"{key}  {act.label}" in shown, (place, act.id)


def test_the_letters_that_mean_different_things_are_named() -> None:
    several = doubtful()
    assert several, "when every letter means one thing, hold that here instead"
    assert not set(several) & set(EVERYWHERE)


def test_what_works_everywhere_means_one_thing() -> None:
    for letter, label in EVERYWHERE.items():
        assert list(meanings()[letter]) == [label]


if __name__ == "__main__":
    print(table())
    print(f"\n{len(doubtful())} of {len(meanings())} letters mean different things: {' '.join(doubtful())}")
