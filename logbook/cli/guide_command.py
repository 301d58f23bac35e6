"""The guide as text: `logbook guide [TOPIC]`."""

from __future__ import annotations

from logbook.cli.books import CommandCall
from logbook.cli.output import columns, write


def print_guide(call: CommandCall) -> int:
    """Print a page with the keys as this person has them, or the list of pages."""
    from logbook.model.guide_pages import guide
    from logbook.render.guide_document import guide_text, topics_text

    width = call.options.width or columns()
    if not call.options.topic:
        write(topics_text(guide(), width).text())
        return 0
    from logbook.tui.key_letters import page_of
    from logbook.tui.places import key_of_action, with_usable_keys  # the table of keys is that of the screens
    from logbook.tui.settings import Settings

    write(guide_text(page_of(call.options.topic), key_of_action(with_usable_keys(Settings.load()).keys), width).text())
    return 0
