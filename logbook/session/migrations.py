"""How a record of an older form becomes one of the present form.

A migration is a pure function from the plain values of one form to those of the next, under the number of the form
it starts from. To add one: write the function, enter it here, put a record of the older form into
`tests/store/samples`, and raise `logbook.model.document.VERSION` when exported documents change with it. The store
keeps a copy of the older form before it writes the newer one.
"""

from __future__ import annotations

from logbook.store import Migrations

MIGRATIONS: Migrations = {"unit": {}, "shop": {}}
"""Kind of record to number of form to function; the present form of both is 1."""
