"""What joining two copies of a record could not decide: it stands in the record until somebody settled it."""

from __future__ import annotations

from logbook.model.base import Frozen, Name, Text


class ToLookAt(Frozen):
    """One thing to look at after a joining, with both values where there is something to choose."""

    what: Name
    """In a sentence."""
    at: tuple[Text, ...] = ()
    """The way to the field or thing: names of fields, and of things in lists. Empty: there is nothing to choose."""
    first: Text = ""
    """What one side says there, as JSON; `null`: nothing, or taken out."""
    first_by: Text = ""
    """Who wrote it and when: “AB, 2026-03-12 20:41”."""
    second: Text = ""
    """What the other side says there. It stands in the record until somebody chose."""
    second_by: Text = ""
    """Who wrote that, and when."""
    bag: Text = ""
    """A bag that both sides began: it is in doubt until a person says whether it is one bag or two."""
    first_steps: tuple[Text, ...] = ()
    """Codes of the steps whose pieces the one side put into it."""
    second_steps: tuple[Text, ...] = ()
    """Those of the other side."""

    @property
    def asks(self) -> bool:
        """Whether there are two values to choose from."""
        return bool(self.at)
