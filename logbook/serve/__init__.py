"""A page for the phone and the interface in a browser, behind a token that ends with the run."""
