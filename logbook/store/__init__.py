"""The book on disk: one folder per unit, a history that is flushed before a change is acknowledged, and one writer.

A book is a folder:

    book.json                    form of the book, when it was begun
    shop/shop.json               what units share, with shop.history.jsonl beside it
    units/R1/unit.json           the unit as TinyDB tables, renewed every few changes and at closing
    units/R1/unit.history.jsonl  every change, one line each, flushed before it is acknowledged
    units/R1/history/            older history, packed; nothing of the story is dropped
    units/R1/copies/             last good copies of unit.json
    units/R1/aside/              damaged or foreign files, kept as they were found
    units/R1/joined/             what other copies of the record wrote, line by line, once it is joined
    units/R1/to-join/            lines that version control put into the history, until they are joined
    .together.json               a change over several documents while it is being made
    removed/                     folders of removed units, which can be put back
    drafts.json, .index.json     half-typed lines; the book's own tables, overviews (both may be lost without harm)
    .gitignore                   names what is of the running program and not of the records
    .gitattributes               lets version control put two histories together line by line
    .lock, .holder.json          the lock of the writing program and who holds it

How to use it (one thread only; a state is a plain dict that nobody changes in place):

    book = BookFolder.open(path, by="Ana", now=clock)      # read_only and holder say if another program writes
    unit = book.add_unit("R1", state, "R1 arrived")        # -> Document, on disk
    unit.change("back panel off", do, undo)                # RFC 6902; durable when it returns, else StoreError
    unit.undo(), unit.redo()                               # -> Entry | None; work across restarts
    unit.state, unit.version, unit.kept_at, unit.problem   # loaded when first asked for
    unit.entries(), unit.state_at(moment)                  # the story
    book.change_together("board taken", [(unit, do, undo), (book.shop, do, undo)])
    book.shop.begin(state, "shop begun")                   # while book.shop.version == 0
    unit.summary, unit.keep_summary({...})                 # small derived dict, None when it must be made anew
    book.poll(), book.take_over()                          # what others did; become the writer
    unit.strangers(), unit.compare(path)                   # files of others beside the record; -> (do, undo) to take in
    unit.reopen()                                          # after others changed the history of an open book
    unit.look_through()                                    # reads and checks all that is kept, in sentences
    book.remove_unit("R1"), book.removed(), book.put_back(removed)
    book.set_draft(key, text), book.get_draft(key)
    book.problems                                          # sentences for a person
    book.close()

`changes.patches(before, after)` makes the two patches from two frozen records. Errors are `StoreError`
(`ReadOnlyError` when the book or the document is open for reading only) and `InputError`.
A document of which nothing can be read is `broken`: its `problem` says what to do and `state` raises `StoreError`.
"""

from logbook.store.book import BookFolder
from logbook.store.document_context import KeepingLimits, Migration, Migrations
from logbook.store.folders import Removed
from logbook.store.history_lines import HistoryEntry
from logbook.store.kept_document import Document
from logbook.store.lock import Holder
from logbook.store.patch import Op

__all__ = [
    "BookFolder",
    "Document",
    "HistoryEntry",
    "Holder",
    "KeepingLimits",
    "Migration",
    "Migrations",
    "Op",
    "Removed",
]
