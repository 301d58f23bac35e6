"""What of a line that is not understood has to be asked about, and in which words."""

from __future__ import annotations

from logbook.teardown.connection_phrase import names_connection
from logbook.teardown.meant import Words
from logbook.teardown.phrases import joined
from logbook.teardown.vocabulary import work_in_words


def wants_asking(words: Words) -> bool:
    """Whether a phrase that was not understood is asked about at the desk.

    It is when it holds a number, speaks of a bag, or says what is to be done.
    """
    if work_in_words(joined(words)):
        return True
    return any(c.isdigit() for w in words for c in w.text) or any(w.folded in ("bag", "bags", "box") for w in words)


def not_read(words: Words) -> str | None:
    """The sentence for a phrase that begins like a connection and is read as none: it would not be on the list."""
    if not names_connection(words):
        return None
    kind, code = words[0].text, words[1].text.rstrip(":")
    return (
        f"{joined(words)}: which {words[0].folded} is that, and where does it go? It stands in the note alone, not on "
        f"the list: say “{kind} {code} from … to …”."
    )
