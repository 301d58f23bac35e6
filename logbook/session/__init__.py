"""The session: the one door between screens or commands and the book on disk.

It holds one immutable record for each unit. An edit is a function from a record to a new one; the session
has it written, keeps the new record, and tells whoever listens. A change that could not be written stays
in memory, is marked as not kept, and is tried again; it is never reported as kept.
"""

from logbook.session.health import Stranger
from logbook.session.opened import KeptState, RecordNews
from logbook.session.session import Session, as_json
from logbook.session.unkept import Unkept
from logbook.store import HistoryEntry, Removed

__all__ = ["HistoryEntry", "KeptState", "RecordNews", "Removed", "Session", "Stranger", "Unkept", "as_json"]
