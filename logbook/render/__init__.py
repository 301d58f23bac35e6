"""Records and computed lists as text for paper, pipes and files.

- `plain`: user text made safe to show, fitted and wrapped to columns.
"""
