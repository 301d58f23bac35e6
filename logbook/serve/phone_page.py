"""The page for the phone: take a picture, and it is sent until the logbook has it; nothing from elsewhere is loaded."""

from __future__ import annotations

from logbook.model.templates import template_bytes


def page(nonce: str) -> str:
    """The page, its one script and one style named by `nonce` so that no other can run."""
    return template_bytes("phone.html").decode("utf-8").replace("@NONCE@", nonce)
