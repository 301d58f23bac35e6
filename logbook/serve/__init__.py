"""A page for the phone and the interface in a browser, each behind a token."""
