"""Two copies of a unit or of the shop that went their own ways, joined into one record.

    joined(before, one, other) -> Joined(record, renumbered, to_look_at)

`before` is what both said last in common, `one` and `other` what each says now. Nothing here knows histories or files.
"""

from logbook.joining.joined import Joined, Side, joined
from logbook.joining.naming import Codes, with_codes
from logbook.joining.numbers import NewNumber, codes_of
from logbook.joining.settling import chosen, values_of

__all__ = ["Codes", "Joined", "NewNumber", "Side", "chosen", "codes_of", "joined", "values_of", "with_codes"]
