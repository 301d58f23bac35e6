"""The records: frozen values for a book, its units and everything written down about them.

- `base`, `measures`, `words`: what fields are made of (codes, moments, lengths, money, closed lists).
- `step`: one step of a teardown. `unit`: a whole unit, and the book. `work`: operations, parts, costs.
- `casework_records`: held dimensions and panels. `shop`: the scrap pile, the shelf, settings.
- `precedence`: which order the relations between steps allow. `edits`: functions from a unit to a new one.
- `document`: a unit or the shop as JSON, in and out.
"""
