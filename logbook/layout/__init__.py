"""Where parts lie on the pieces of the scrap pile: search, independent checker, cuts at the saw, leftovers."""
