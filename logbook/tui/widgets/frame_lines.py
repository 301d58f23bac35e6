"""The three lines around every screen: where you are and whether it is kept, the message, the keys."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from textual.content import Content
from textual.style import Style
from textual.widgets import Static

from logbook.render.plain import clean, fitted, width, wrapped
from logbook.tui.surviving import Surviving

STROKE = " / "
"""Between a place and what lies inside it."""
LEAST_NAME = 10
"""Columns of a name below which it tells nothing: then the code stands alone."""
CUT = "…"
MORE = "more"
"""What the key that shows every key is called where keys found no room."""
MOST_MESSAGE_ROWS = 4
"""Rows that a long message may take when they are free."""


def place_words(place: str, columns: int) -> str:
    """A place in so many columns: the unit's code and where in it you are stay, what is between them gives way.

    First the name is cut, then it goes and the code alone stays, then the ways into the record, the outermost first.
    """
    if width(place) <= columns:
        return fitted(place, columns)
    first, *ways = place.split(STROKE)
    if not ways or width(STROKE + ways[-1]) > columns // 2:
        return fitted(place, columns)
    return fitted(_shortened(first, ways, columns), columns)


def _shortened(first: str, ways: Sequence[str], columns: int) -> str:
    """The first of these forms that has room."""
    whole_way = "".join(STROKE + way for way in ways)
    code = _code_of(first)
    if columns - width(whole_way) >= min(width(first), width(code) + LEAST_NAME):
        return fitted(first, columns - width(whole_way)) + whole_way
    head = code or first
    if width(head + whole_way) <= columns:
        return head + whole_way
    for number, outermost in enumerate(ways[:-1], 1):
        inner = "".join(STROKE + way for way in ways[number:])
        room = columns - width(head + STROKE + inner)
        if room >= LEAST_NAME:
            return head + STROKE + fitted(outermost, min(room, width(outermost))) + inner
        if room >= 1:
            return head + STROKE + CUT + inner
    return fitted(head, columns - width(STROKE + ways[-1])) + STROKE + ways[-1]


def _code_of(first: str) -> str:
    """The code with which a place in a unit begins, with the blank before it; empty for any other place."""
    code, _, name = first.lstrip().partition(" ")
    blank = first[: len(first) - len(first.lstrip())]
    return blank + code if name and _is_code(code) else ""


def _is_code(word: str) -> bool:
    return word.isalnum() and any(letter.isdigit() for letter in word)


def _place_in_inks(place: str) -> list[Content]:
    """The code of a unit as a block before its name, and muted where in it you are."""
    first, stroke, ways = place.partition(STROKE)
    if not stroke:
        return [Content.styled(place, "bold")]
    code, _, name = first.lstrip().partition(" ")
    if _is_code(code):
        block = Content.styled(f" {code} ", "bold $background on $accent")
        return [block, Content.styled(name, "bold"), Content.styled(f"{STROKE}{ways}", "$text-muted")]
    outer, _, here = place.rpartition(STROKE)
    return [Content.styled(outer + STROKE, "bold"), Content.styled(here, "$text-accent")]


class TitleLine(Surviving, Static):
    """Where you are on the left, whether it is kept on the right."""

    DEFAULT_CSS = """
    TitleLine { height: 1; width: 1fr; background: $panel; color: $foreground; }
    TitleLine.-unkept { background: $error; color: $background; }
    """

    def set_words(self, place: str, kept: str, *, unkept: bool = False) -> None:
        """Show the place and the state; the state is never cut, the place may be."""
        self._place, self._kept = clean(place, limit=300), clean(kept, limit=200)
        self.set_class(unkept, "-unkept")
        self._draw()

    _place = ""
    _kept = ""

    def _draw(self) -> None:
        columns = self.size.width or 80
        right = self._kept if width(self._kept) <= columns else fitted(self._kept, columns)
        left = place_words(f" {self._place}", columns - width(right) - 2)
        if columns <= width(right) + 2:
            self.update(Content(right), layout=False)
            return
        kept = Content.styled(right, "" if self.has_class("-unkept") else "$text-success")
        self.update(Content.assemble(*_place_in_inks(left), " ", kept, " "), layout=False)

    def on_resize(self) -> None:
        """The two ends stay at the two ends."""
        self._draw()


def keys_that_fit(keys: Sequence[tuple[str, str, str]], room: int) -> list[tuple[str, str, str]]:
    """The keys that stand in so many columns: those in front, and always the last one, which shows every key.

    Where some found no room, that one says “more” instead of “keys”.
    """
    shown = list(keys)
    while len(shown) > 1 and sum(len(key) + len(label) + 4 for key, label, _ in shown) - 3 > room:
        del shown[-2]
    if len(shown) < len(keys) and shown[-1][1] == "keys":
        shown[-1] = (shown[-1][0], MORE, shown[-1][2])
    return shown


class KeyLine(Surviving, Static):
    """The five or six keys that matter now; each can be clicked."""

    DEFAULT_CSS = """
    KeyLine { height: 1; width: 1fr; color: $text-muted; background: $panel; }
    KeyLine { link-style: none; link-style-hover: underline; }
    """

    def show_keys(self, keys: Iterable[tuple[str, str, str]]) -> None:
        """Show (key, label, action) for each; as many as fit, the last one always. The same again paints nothing."""
        shown = tuple(keys)
        if shown != self._keys:
            self._keys = shown
            self._draw()

    _keys: tuple[tuple[str, str, str], ...] = ()

    def _draw(self) -> None:
        shown = keys_that_fit(self._keys, (self.size.width or 80) - 2)
        content = Content(" ")
        for i, (key, label, action) in enumerate(shown):
            meta = Style.from_meta({"@click": action}) if action else Style.null()
            gap = "" if i == 0 else "   "
            content = content + Content(gap) + Content.styled(key, "bold $text-accent").stylize(meta)
            content = content + Content(f" {label}").stylize(meta)
        self.update(content, layout=False)

    def on_resize(self) -> None:
        """More keys may fit, or fewer."""
        self._draw()


class MessageLine(Surviving, Static):
    """What was just said. It never covers what is being read: more than one row only where rows are free.

    It belongs to the moment: the next key mutes it, and leaving the screen takes it away.
    """

    DEFAULT_CSS = """
    MessageLine { height: 1; width: 1fr; padding: 0 1; }
    MessageLine.-error { color: $text-error; text-style: bold; }
    MessageLine.-good { color: $text-success; }
    MessageLine.-past { color: $text-muted; text-style: none; }
    """

    text = ""
    """What is shown, whole, for whoever asks (tests, the copy key, the page of keys)."""
    _kind = ""
    _times = 1

    def say(self, text: str, kind: str = "") -> None:
        """Show a message: kind is empty, `good` or `error`. The same one again says how often it was said."""
        again = bool(text) and text == self.text and self.has_class("-past")
        self._times = self._times + 1 if again else 1
        self.text, self._kind = text, kind
        self.remove_class("-past")
        self.set_class(kind == "error", "-error")
        self.set_class(kind == "good", "-good")
        rows = self.rows_wanted(self.outer_size.width)
        self._draw()
        if rows > 1 or self.size.height > 1:
            self.refresh(layout=True)

    def pass_by(self) -> None:
        """Something else is done now: what was said before steps back."""
        if self.text:
            self.add_class("-past")

    def words(self) -> str:
        """The message as it is read, whole."""
        sign = "! " if self._kind == "error" else ""
        return sign + clean(self.text, limit=500) + self._often()

    def _often(self) -> str:
        return f" ({self._times} times)" if self._times > 1 else ""

    def rows_wanted(self, columns: int) -> int:
        """Rows that show all of it in a line of so many columns, at most a few."""
        return max(1, min(MOST_MESSAGE_ROWS, len(self._wrapped(columns - 2))))

    def _wrapped(self, columns: int) -> list[str]:
        return wrapped(self.words(), max(10, columns))

    def _draw(self) -> None:
        columns = max(10, self.size.width or 78)
        rows = max(1, self.size.height)
        lines = self._wrapped(columns)
        if len(lines) > rows:
            more = self._often() + (
                "  F1: all" if columns > 40 else ""
            )  # how often is never cut: it may be all that is new
            rest = " ".join(line.strip() for line in lines[rows - 1 :])
            lines = [*lines[: rows - 1], fitted(rest, columns - len(more)) + more]
        self.update(Content("\n".join(lines)), layout=False)

    def on_resize(self) -> None:
        """More of it may fit, or less."""
        self._draw()
