"""Where parts lie on the pieces of the scrap pile: search, independent checker, cuts at the saw, leftovers.

The way in:

- `asked`: parts, pieces and rules from the book; `tables`: from files of comma-separated values
- `search(parts, pieces, rules, progress=None, stop=None) -> Layout`; `progress(layout)` gets the best so far,
  `stop()` is asked often and ends the search with it
- `problems_of(layout, parts, pieces, rules) -> tuple[str, ...]`: what is wrong with a layout, apart from the search
- `cuts_of(trees, pieces, rules) -> tuple[Cut, ...]`: the cuts in order (a layout already carries its own)
- `standing(layout, parts, pieces, rules, done=..., spoilt=...) -> Standing`: what remains, to be laid out again
"""
