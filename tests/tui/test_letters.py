"""What each letter means at each place, from the one table of actions: `python -m tests.tui.test_letters` prints it.

A key should mean the same everywhere. The letters that do not yet are named here, so that no other joins them.
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


def table() -> str:
    """The list to read: a letter, what it means, where."""
    lines = []
    for letter, labels in sorted(meanings().items(), key=lambda item: (item[0].lower(), item[0])):
        for label, where in sorted(labels.items()):
            shown = "everywhere" if len(where) == len(places()) else ", ".join(where)
            lines.append(f"{letter}  {label:<24} {shown}")
    return "\n".join(lines)


SEVERAL = frozenset("AaCbcdefghiKLlmnoPprstuvwXx")
"""Letters that mean different things at different places."""
EVERYWHERE = {"z": "undo", "Z": "redo", "y": "copy", "q": "leave", "H": "history"}


def test_the_table_has_every_letter_of_every_place() -> None:
    shown = table()
    for place, acts in places().items():
        for act in acts:
            for key in act.keys.split(","):
                if len(key) == 1 and key.isalpha():
                    assert f"{key}  {act.label}" in shown, (place, act.id)


def test_no_other_letter_means_two_things() -> None:
    doubtful = {letter: dict(labels) for letter, labels in meanings().items() if len(labels) > 1}
    assert set(doubtful) <= SEVERAL, {letter: doubtful[letter] for letter in set(doubtful) - SEVERAL}


def test_what_works_everywhere_means_one_thing() -> None:
    for letter, label in EVERYWHERE.items():
        assert meanings()[letter] == {label: list(places())}


if __name__ == "__main__":
    print(table())
