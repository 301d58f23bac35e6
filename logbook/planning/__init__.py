"""What now, and one plan over all units: operations, waits, limits of the shop, order forced by materials."""
