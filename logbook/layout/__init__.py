"""Where parts lie on the pieces of the scrap pile: search, independent checker, cuts at the saw, leftovers.

The way in:

- `from_records`: `pieces_of(shop)`, `parts_of(unit)`, `rules_of(shop, ...)` from the book; `tables`: the CSV forms
- `search(parts, pieces, rules, progress=None, stop=None) -> Layout`; `progress(layout)` gets the best so far,
  `stop()` is asked often and ends the search with it
- `problems_of(layout, parts, pieces, rules) -> tuple[str, ...]`: what is wrong with a layout, apart from the search
- `cuts_of(trees, pieces, rules) -> tuple[Cut, ...]`: the cuts in order (a layout already carries its own)
- `relay(layout, parts, pieces, rules, done, spoilt, progress=None, stop=None) -> Relaid`: the rest laid out again
"""
