"""What each letter means at each place, from the one table of actions: `python -m tests.tui.test_letters` prints it.

A letter should mean the same everywhere (`logbook/tui/key_letters.py`); those that do not yet are named at its end.
"""

from __future__ import annotations

from collections import defaultdict

from logbook.tui.key_letters import MEANINGS, OTHERWISE_BECAUSE, elsewhere, otherwise, page_of
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


MOST = 10
"""Letters that may mean something else at single places."""
EVERYWHERE = {"z": "undo", "Z": "redo", "y": "copy", "q": "leave", "H": "history"}


def test_the_table_has_every_letter_of_every_place() -> None:
    shown = table()
    for place, acts in places().items():
        for act in acts:
            for key in act.keys.split(","):
                if len(key) == 1 and key.isalpha():
                    assert f"{key}  {act.label}" in shown, (place, act.id)


def test_every_letter_has_one_meaning_and_every_meaning_is_used() -> None:
    found = meanings()
    assert set(found) == set(MEANINGS)
    for letter, means in MEANINGS.items():
        assert set(means.labels) <= set(found[letter]), letter


def test_no_other_letter_means_something_else_somewhere() -> None:
    """Each that does is named with its reason; none may come in addition, and none stands there for nothing."""
    assert set(otherwise()) == set(OTHERWISE_BECAUSE)
    assert len(OTHERWISE_BECAUSE) <= MOST
    assert not set(otherwise()) & set(EVERYWHERE)


def test_what_works_everywhere_means_one_thing() -> None:
    for letter, label in EVERYWHERE.items():
        assert list(meanings()[letter]) == [label]


def test_the_guide_and_the_help_of_a_place_say_the_same() -> None:
    shown = [block.words for block in page_of("letters").blocks]
    for letter, means in MEANINGS.items():
        assert any(words.startswith(f"{letter}: {means.meaning}") for words in shown)
    for letter, labels in otherwise().items():
        for label in labels:
            assert f"{letter} is elsewhere: {MEANINGS[letter].meaning}" in elsewhere(letter, label)
    assert elsewhere("z", "undo") == ""


if __name__ == "__main__":
    print(table())
    print(f"\n{len(otherwise())} of {len(meanings())} letters mean something else somewhere: {' '.join(otherwise())}")
