"""One file for each place: the bench, a unit's sections, the forms, help and find."""
