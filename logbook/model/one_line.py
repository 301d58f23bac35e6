"""A new thing from one line of plain words: phrases between commas, read by what the record's fields take.

    spares by post, shipping 4.95, days 3          a seller
    Tue 18:00 2 h                                  free hours
    left side, 12 ply + 0.6 oak veneer             a panel of two layers

The first phrase says what the record cannot do without. Every other one begins with the label of a field, or says by
itself which it is: a word of a choice, a size, an amount, a time, a day, the label of a yes-or-no. The fields that are
usually filled are tried in their order (`logbook.model.usual_fields`). Words that nothing else takes are the note.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from types import MappingProxyType
from typing import Any, NamedTuple, TypeVar

from logbook.errors import InputError
from logbook.model.base import Frozen
from logbook.model.currency import is_known
from logbook.model.fields import Field, FieldKind, field_named, fields_of, offered_fields, shown_value
from logbook.model.inner_words import inner_label, is_named_by_what_for, parted
from logbook.model.moments import parse_clock
from logbook.model.numbering import first_code
from logbook.model.plain_phrases import with_labels
from logbook.model.typed_values import NO, NO_CONTEXT, YES, Context, fitting, of_values, plain_value, put
from logbook.model.usual_fields import example_of, leading_fields, usual_fields

R = TypeVar("R", bound=Frozen)

_TYPED = frozenset(FieldKind) - {
    FieldKind.TEXT,
    FieldKind.TEXTS,
    FieldKind.FLAG,
    FieldKind.CURRENCY,
    FieldKind.RECORD,
    FieldKind.RECORDS,
}
"""Kinds of fields whose values say by themselves what they are."""
_COUNTED = frozenset({FieldKind.COUNT, FieldKind.NUMBER, FieldKind.MINUTES, FieldKind.MONEY, FieldKind.LENGTH})
"""Kinds whose label may also stand behind the number, as in “3 days”."""
_LEAST_LETTERS = 3
"""So many letters of a word of a choice are enough, where its label is not said."""
_MOST_WORDS = 3
"""So many words are one value at most: “23 5/16 in”, “1 Dec 2026”."""


_ONE_UNLESS_SAID = frozenset({"Part"})
"""Kinds of things of which a line that says no number means one."""
_ONE = Decimal(1)
_NOTHING: Mapping[str, Any] = MappingProxyType({})


class RecordReading(NamedTuple):
    """What a line says about a new record, as far as it was understood."""

    kind: type[Frozen]
    values: Mapping[str, Any]
    """What is known, by the names of the fields."""
    said: tuple[str, ...] = ()
    """Which of these the line said, in its order; the rest was offered or copied."""
    problem: str = ""
    """The first thing that was not understood, in a sentence; empty when nothing."""
    doubts: tuple[str, ...] = ()
    """What can be kept as it is and should be seen before."""
    narrowed: Mapping[str, tuple[str, ...]] = MappingProxyType({})
    """Choices of which only some can be meant, by the names of the fields: those are asked for."""

    @property
    def missing(self) -> tuple[Field, ...]:
        """What the record cannot do without and nobody said yet."""
        return tuple(f for f in offered_fields(self.kind) if f.required and f.name not in self.values)

    def words(self) -> tuple[tuple[str, str], ...]:
        """Label and value of each thing that the line said."""
        fields = {f.name: f for f in offered_fields(self.kind)}
        return tuple((fields[n].label, shown_value(self.values[n], fields[n].kind) or "no") for n in self.said)

    def with_value(self, name: str, value: Any) -> RecordReading:
        """The same with one thing more said."""
        return self._replace(values={**self.values, name: value}, said=(*self.said, name))

    def record(self) -> Frozen:
        """The record, when nothing is missing. Raises InputError with a sentence."""
        if self.problem:
            raise InputError(self.problem)
        if self.missing:
            raise InputError(f"“{self.missing[0].label}” is needed.")
        return of_values(self.kind, self.values)


def read_line(
    kind: type[Frozen],
    text: str,
    context: Context = NO_CONTEXT,
    *,
    code: str = "",
    like: Frozen | None = None,
    given: Mapping[str, Any] = _NOTHING,
) -> RecordReading:
    """What a line says about a new record.

    Args:
        kind: the kind of record.
        text: the line as typed so far.
        context: what days and amounts are read against.
        code: the code it gets when the line says none.
        like: a record that it is a copy of; the line then says only what differs.
        given: what the line said before these words, by the names of the fields; its first phrase is among it.
    """
    reader = _Reader(kind, context, code, copies=like is not None)
    reader.values.update(given)
    problem = ""
    text = with_labels(kind.__name__, text)
    try:
        phrases = _phrases_for(kind, text)
    except InputError as error:
        phrases, problem = phrases_of(text), str(error)
    for i, phrase in enumerate(phrases):
        try:
            reader.take(phrase, first=i == 0 and not given)
        except InputError as error:
            problem = problem or str(error)
    problem = problem or reader.unfinished()
    values = {}
    if like is not None:
        values = {name: getattr(like, name) for name in kind.model_fields}
    if code and "code" in kind.model_fields:
        values["code"] = code
    said = {**reader.nominal, **reader.values}
    if "holes" in said and "found" in kind.model_fields and "found" not in said and like is None:
        values["found"] = said["holes"]  # as many as there are places, unless the line says otherwise
    if kind.__name__ in _ONE_UNLESS_SAID and leading_fields(kind)[0].name in {**values, **said}:
        values.setdefault("quantity", _ONE)
    narrowed = {name: choices for name, choices in reader.narrowed.items() if name not in said}
    return RecordReading(kind, {**values, **said}, tuple(said), problem, reader.doubts, narrowed)


def value_of(kind: type[Frozen], field: Field, text: str, context: Context = NO_CONTEXT) -> Any:
    """The value that was typed for a field of a kind of record; an empty text is what a new record has there.

    A field that holds records takes phrases: “120 x 80” for a place, “12 ply + 0.6 veneer” for layers.

    Raises:
        InputError: it does not fit, or nothing was said and the record cannot be without it.
    """
    words = text.strip()
    if not words or field.kind not in (FieldKind.RECORD, FieldKind.RECORDS):
        return plain_value(kind, field, text, context)
    if field.record is None:
        raise InputError(f"{field.label} is opened with Enter, not typed.")
    read = record_in if field.kind is FieldKind.RECORD else records_in
    return fitting(kind, field, read(field.record, words, context, field.label))


def typed(record: R, name: str, text: str, context: Context = NO_CONTEXT) -> R:
    """The record with the field `name` set to what was typed; an empty text clears it.

    Raises:
        InputError: the text does not fit the field; the sentence says how to type it.
    """
    field = field_named(type(record), name)
    return put(record, name, value_of(type(record), field, text, context))


def made(kind: type[R], answers: Mapping[str, str], context: Context = NO_CONTEXT) -> R:
    """A new record from typed answers. Raises InputError for the first that is missing or does not fit."""
    values: dict[str, Any] = {}
    for field in fields_of(kind):
        text = answers.get(field.name, "")
        if field.required or text.strip():
            values[field.name] = value_of(kind, field, text, context)
    return of_values(kind, values)


def record_in(kind: type[R], words: str, context: Context = NO_CONTEXT, label: str = "") -> R:
    """A record inside another one from a phrase: “120 x 80” for a place, “12 ply” for a layer.

    Raises:
        InputError: something is missing or not understood; the sentence says what would be taken.
    """
    reading = _without_commas(kind, words, context)
    example = example_of(kind)
    if reading.problem:
        raise InputError(reading.problem)
    if reading.missing:
        wanted = " and ".join(f.label for f in reading.missing)
        raise InputError(f"{label or 'It'}: “{words[:40]}” says no {wanted}. Type it like {example}.")
    found = reading.record()
    assert isinstance(found, kind)  # noqa: S101 - for the type checker
    return found


def _without_commas(kind: type[Frozen], words: str, context: Context) -> RecordReading:
    """The reading of a phrase inside a line, where no comma can part it: its labels do, “back dado depth 6”."""
    if is_named_by_what_for(kind):
        return read_line(kind, parted(kind, words), context, code=first_code(kind))
    reading = read_line(kind, words, context, code=first_code(kind))
    if "," in words or not (reading.problem or reading.missing):
        return reading
    again = read_line(kind, parted(kind, words), context, code=first_code(kind))
    return reading if again.problem or again.missing else again


def records_in(kind: type[R], words: str, context: Context = NO_CONTEXT, label: str = "") -> tuple[R, ...]:
    """Several records from a phrase, with + between; with commas where each needs only one thing said.

    Raises:
        InputError: one of them is not understood, or two have the same code.
    """
    parts = re.split(r"\s\+\s|;", words)
    if len(parts) == 1 and len(leading_fields(kind)) == 1:
        parts = words.split(",")
    found = tuple(record_in(kind, part.strip(), context, label) for part in parts if part.strip())
    codes = [getattr(record, "code", None) for record in found]
    if leading_fields(kind)[0].name == "code":
        twice = next((code for code in codes if codes.count(code) > 1), None)
        if twice is not None:
            raise InputError(f"{label}: {twice} is said twice.")
        return found
    return tuple(_numbered(found))


def _numbered(records: Sequence[R]) -> Iterable[R]:
    """Records of one phrase with their own codes, where they have codes."""
    for i, record in enumerate(records):
        code = getattr(record, "code", None)
        if isinstance(code, str) and i:
            yield record.model_copy(update={"code": f"{code.rstrip('0123456789')}{i + 1}"})
        else:
            yield record


def phrases_of(text: str) -> list[str]:
    """The phrases of a line; a comma between two figures belongs to a number."""
    parts = re.split(r",(?!\d)|(?<!\d),", text)
    return [" ".join(p.split()) for p in parts if p.strip()]


def _phrases_for(kind: type[Frozen], text: str) -> list[str]:
    """The phrases of a line; the comma in a word of a choice, as in “butt, between”, parts nothing."""
    for words in _choices_with_commas(kind):
        text = re.sub(re.escape(words), words.replace(",", _NO_COMMA), text, flags=re.IGNORECASE)
    phrases = [phrase.replace(_NO_COMMA, ",") for phrase in phrases_of(text)]
    return _with_their_sizes(kind, phrases) if kind.__name__ in _WORKED else phrases


_WORKED = frozenset({"Panel"})
"""Kinds of things in which something is cut whose sizes are said after it, as the depth of a groove."""
_CUT_IN = MappingProxyType({"joint": "joints", "joints": "joints", "groove": "grooves", "grooves": "grooves"})
"""Words with which such a cut begins, and the field that it is in."""


_GROOVE_OF = re.compile(
    r"^(?:the )?(?P<of>[^\W\d]+(?: (?!and\b)[^\W\d]+)?) grooves? (?P<sizes>\d.*\b(?:deep|wide)\b.*)$", re.IGNORECASE
)
"""A groove with what it is for before it: “back groove 6 deep”."""
_FOR_WHAT = re.compile(r"\bfor\s", re.IGNORECASE)


def _with_their_sizes(kind: type[Frozen], phrases: Sequence[str]) -> list[str]:
    """The phrases, with `depth 6` put to the joint or groove that the phrase before it says.

    Raises:
        InputError: there is none, and the thing itself has no such size.
    """
    fields = {f.name: f for f in offered_fields(kind)}
    own = {f.label for f in fields.values()}
    found: list[str] = []
    for phrase in phrases:
        said = re.sub(r"^rabbet (?=.*\bfor\b)", "groove rabbet ", phrase, flags=re.IGNORECASE)
        said = _GROOVE_OF.sub(r"groove \g<sizes> for the \g<of>", said) if found else said
        before = _CUT_IN.get(found[-1].partition(" ")[0].casefold().rstrip(":")) if found else None
        is_its_name = before == "grooves" and bool(_FOR_WHAT.match(said)) and not _FOR_WHAT.search(found[-1])
        if before is not None and (is_its_name or inner_label(said, fields[before])):
            found[-1] += f" {said}"
        else:
            found.append(said)
    labels = {inner_label(phrase, fields[name]) for phrase in found for name in set(_CUT_IN.values())}
    unplaced = labels - own - {""}
    if unplaced:
        size = min(unplaced)
        phrase = next(p for p in found if any(inner_label(p, fields[n]) == size for n in set(_CUT_IN.values())))
        raise InputError(
            f"“{phrase[:40]}”: the {size} of what? Of a panel say finish 480 x 230; of what is cut into it,"
            f" with it: groove for the back {size} 6, joints both ends dado {size} 6."
        )
    return found


_NO_COMMA = "\ue000"


@functools.cache
def _choices_with_commas(kind: type[Frozen]) -> tuple[str, ...]:
    """Words with a comma in the choices of a record and of what is inside it."""
    found: list[str] = []
    for field in offered_fields(kind):
        found += [str(choice) for choice in field.choices if "," in choice]
        if field.record is not None and field.record is not kind:
            found += [str(c) for f in offered_fields(field.record) for c in f.choices if "," in c]
    return tuple(dict.fromkeys(found))


class _Reader:
    """Takes one phrase after another and remembers which fields are filled."""

    def __init__(self, kind: type[Frozen], context: Context, code: str, *, copies: bool) -> None:
        self.kind = kind
        self.context = context
        self.code = code
        self.copies = copies
        self.values: dict[str, Any] = {}
        self.fields = offered_fields(kind)
        self.leads = leading_fields(kind)
        usual = usual_fields(kind)
        self.usual = (*usual, *(f for f in self.leads if f not in usual))
        self.nominal: dict[str, Any] = {}
        """A size by which a thing is called, as in “12 ply”; it holds until another one is said."""
        self.narrowed: dict[str, tuple[str, ...]] = {}
        """Choices that a phrase began and did not end, by field: “buy used” begins two."""
        self._begun: dict[str, str] = {}
        self.doubts: tuple[str, ...] = ()

    # One phrase

    def take(self, phrase: str, *, first: bool) -> None:
        """Understand one phrase. Raises InputError when nothing takes it."""
        typed = phrase
        phrase = _DIAMETER.sub("diameter ", self._from_to(phrase))
        if first:
            phrase = self._without_code(phrase)
            if not phrase or self._take_first(phrase):
                return
        ways = (
            self._labelled,
            self._either_way,
            self._measured_again,
            self._with_unit,
            self._bare_price,
            self._needed_value,
            self._needed_details,
            self._usual_size,
            self._usual_value,
            self._choice_or_flag,
            self._one_of_several,
            self._in_words,
            self._needed_text,
            self._needed_list,
            self._usual_list,
            self._note,
        )
        if not any(way(phrase) for way in ways):
            raise InputError(self._not_understood(typed))

    def unfinished(self) -> str:
        """What was begun and not ended, such as the first of two figures of a place; empty when nothing."""
        for name, words in self._begun.items():
            field = next(f for f in self.fields if f.name == name)
            if field.record is not None:
                return f"{field.label}: “{words}” is only half of it. Type it like {example_of(field.record)}."
        return self._of_two_days()

    def _of_two_days(self) -> str:
        """A sentence for “Tue, Thu 19-21”: the second would be one single day and take the place of the weekday."""
        if self.kind.__name__ != "FreeTime" or not {"weekday", "on"} <= self.values.keys():
            return ""
        return "One line is one weekday or one single day. Write the other day in a line of its own."

    def _open(self, fields: Iterable[Field], kinds: Iterable[FieldKind] = _TYPED) -> list[Field]:
        wanted = frozenset(kinds)
        return [f for f in fields if f.name not in self.values and f.kind in wanted]

    def _set(self, field: Field, value: Any) -> bool:
        if field.name in self.values:
            raise InputError(f"“{field.label}” is said twice.")
        self.values[field.name] = value
        return True

    def _take_value(self, fields: Iterable[Field], words: str) -> bool:
        """Fill the first of these fields that takes the words."""
        for field in fields:
            value = self._read(field, words)
            if value is not None:
                return self._set(field, value)
        return False

    def _read(self, field: Field, words: str) -> Any:
        """The value when a field takes the words without its label; None when it does not."""
        if field.kind is FieldKind.CHOICE and len(words) < _LEAST_LETTERS:
            return None
        if field.kind in (FieldKind.DATE, FieldKind.MOMENT) and not _says_a_day(words):
            return None
        if field.kind is FieldKind.LENGTHS and " " in words:  # two sizes in one phrase are a length and a width
            return None
        try:
            return value_of(self.kind, field, words, self.context)
        except InputError:
            return None

    # The first phrase

    def _without_code(self, phrase: str) -> str:
        """A phrase that begins with a code like the one offered says the code."""
        word, _, rest = phrase.partition(" ")
        letters = self.code.rstrip("0123456789")
        if letters and re.fullmatch(re.escape(letters) + r"\d+[a-z]?", word):
            self.values["code"] = word
            return rest
        return phrase

    def _take_first(self, phrase: str) -> bool:
        texts = [f for f in self.leads if f.kind in (FieldKind.TEXT, FieldKind.TEXTS)]
        if not texts:
            return False
        if self.copies or not texts[0].required:  # then the words may well be for something else
            kinds = _MEASURED if texts[0].required else _TYPED
            if self._needed_place(phrase):
                return True
            if self._labelled(phrase) or self._take_value(self._open(self.usual, kinds), phrase):
                return True
        if self._take_value(self._open(self.leads), phrase):
            return True
        return self._needed_text(self._peeled(self._counted_twice(phrase)))

    def _counted_twice(self, phrase: str) -> str:
        """The phrase without “4/3” in front, where a record keeps how many places there are and how many were found."""
        twice = _COUNTS.match(phrase)
        named = {f.name: f for f in self.fields}
        if twice is None or not {"holes", "found"} <= named.keys():
            return phrase
        for name, count in zip(("holes", "found"), twice.groups(), strict=True):
            self._set(named[name], value_of(self.kind, named[name], count, self.context))
        return phrase[twice.end() :]

    def _needed_place(self, phrase: str) -> bool:
        """A place or a size in one phrase, as needed details: “120 x 80” is no name."""
        return bool(_ACROSS.fullmatch(phrase)) and self._take_value(self._open(self.leads, {FieldKind.RECORD}), phrase)

    def _peeled(self, phrase: str) -> str:
        """The phrase without the values at its ends that needed fields take: “12 ply 11.8”, “4 screw 3.5x16”.

        A size in front stays in the name: sheet goods are called by it, as in “12 ply”.
        """
        words = self._without_amount(phrase.split(" "))
        of_the_name = _RATINGS if any(f.kind is FieldKind.LENGTH for f in self.leads) else _RATINGS | _SIZES
        while len(words) > 1 and not _is_figure_with(words[-2:], of_the_name) and (count := self._value_at_end(words)):
            words = words[:-count]
        if _is_figure_with(words[:2], of_the_name):
            return " ".join(words)
        for count in range(min(_MOST_WORDS, len(words) - 1), 0, -1):
            front = " ".join(words[:count])
            field = next((f for f in self._open(self.leads) if self._read(f, front) is not None), None)
            if field is not None:
                return self._called_by_size(field, words, front) or self._set_and_rest(field, front, words[count:])
        return " ".join(words)

    def _without_amount(self, words: list[str]) -> list[str]:
        """The words without an amount and its unit at one of their ends, where the record keeps both: “1.5 m cord”."""
        unit = next((f for f in self.fields if f.name == "unit" and f.name not in self.values), None)
        if unit is None or len(words) < 3:
            return words
        for pair, rest in ((words[:2], words[2:]), (words[-2:], words[:-2])):
            is_amount = pair[1].casefold() in _AMOUNTS and bool(_FIGURE.fullmatch(pair[0]))
            if is_amount and self._take_value(self._open(self.leads, {FieldKind.NUMBER}), pair[0]):
                self._set(unit, pair[1])
                return rest
        return words

    def _called_by_size(self, field: Field, words: Sequence[str], front: str) -> str:
        """The whole name, when a size in front belongs to it; empty when it does not."""
        if field.kind is not FieldKind.LENGTH:
            return ""
        if sum(f.kind is FieldKind.LENGTH for f in self.leads) == 1:
            self.nominal[field.name] = self._read(field, front)
        return " ".join(words)

    def _set_and_rest(self, field: Field, front: str, rest: Sequence[str]) -> str:
        self._set(field, self._read(field, front))
        return " ".join(rest)

    def _value_at_end(self, words: Sequence[str]) -> int:
        """How many words at the end a needed field took."""
        for count in range(min(_MOST_WORDS, len(words) - 1), 0, -1):
            if self._take_value(self._open(self.leads), " ".join(words[-count:])):
                return count
        return 0

    # Any phrase

    def _label_of(self, phrase: str) -> tuple[Field, str] | None:
        """The field whose label a phrase carries, and the rest of the phrase."""
        small = phrase.casefold()
        named = [(label, f) for f in self.fields for label in {f.label.casefold(), f.name.replace("_", " ")}]
        if self.kind.__name__ in _WORKED:
            named += [(word, f) for word, name in _CUT_IN.items() for f in self.fields if f.name == name]
        for label, field in sorted(named, key=lambda pair: -len(pair[0])):
            if small == label and field.kind is FieldKind.FLAG:
                return field, YES[0]
            if field.kind is FieldKind.FLAG and small in {f"{no} {label}" for no in (*NO, "without")}:
                return field, NO[0]
            if small.startswith(label) and small[len(label) : len(label) + 1] in (" ", ":", "="):
                return field, phrase[len(label) + 1 :].strip().lstrip(":= ")
            if field.kind in _COUNTED and small.endswith(f" {label}") and small[:1].isdigit():
                return field, phrase[: -len(label)].strip()
        return None

    def _labelled(self, phrase: str) -> bool:
        found = self._label_of(phrase)
        if found is None:
            return False
        field, words = found
        return self._set(field, value_of(self.kind, field, words, self.context))

    def _bare_price(self, phrase: str) -> bool:
        """A bare figure with two decimals is what a thing costs, where its price is typed and how many are one."""
        if self.kind.__name__ not in _ONE_UNLESS_SAID or not LIKE_MONEY.fullmatch(phrase):
            return False
        return self._take_value(self._open(self.usual, {FieldKind.MONEY, FieldKind.ESTIMATE}), phrase)

    def _needed_value(self, phrase: str) -> bool:
        return self._take_value(self._open(self.leads), phrase)

    def _needed_details(self, phrase: str) -> bool:
        """Details that are needed, in one phrase or in two: “120 x 80” or “120, 80”."""
        for field in self._open(self.leads, {FieldKind.RECORD}):
            words = f"{self._begun.get(field.name, '')} {phrase}".strip()
            if field.record is None:
                continue
            reading = read_line(field.record, words, self.context)
            if reading.problem or not reading.values:
                continue
            if reading.missing:
                self._begun[field.name] = words
            else:
                self._begun.pop(field.name, None)
                self._set(field, reading.record())
            return True
        return False

    def _usual_size(self, phrase: str) -> bool:
        """A size or a place in one phrase, where the record keeps one: “480 x 230”."""
        if not re.search(r"\s[x×]\s|\d[x×]\d", phrase):
            return False
        return self._take_value(self._open(self.usual, {FieldKind.RECORD}), phrase)

    def _usual_value(self, phrase: str) -> bool:
        return self._take_value(self._open(self.usual), phrase)

    def _choice_or_flag(self, phrase: str) -> bool:
        """A word of any choice; a yes-or-no is said by its label and was found by it."""
        return self._take_value(self._open(self.fields, {FieldKind.CHOICE}), phrase)

    def _from_to(self, phrase: str) -> str:
        """“18:00-20:00” as the start and how long, where a record keeps these: “18:00 120 min”."""
        kinds = {f.kind for f in self.leads}
        found = _FROM_TO.search(phrase)
        if found is None or not {FieldKind.CLOCK, FieldKind.MINUTES} <= kinds:
            return phrase
        others = phrase[: found.start()] + phrase[found.end() :]
        if re.search(r"\d:\d|\d ?(?:h|min)\b", others):  # then these two figures are a day, as in “1-12 18:00 2 h”
            return phrase
        start, end = parse_clock(found["start"]), parse_clock(found["end"])
        begins = start.hour * 60 + start.minute
        ends = end.hour * 60 + end.minute or 24 * 60  # midnight is the end of the day
        if ends <= begins:
            raise InputError(f"“{found[0].strip()[:40]}” ends before it begins. Type it like {example_of(self.kind)}.")
        return phrase[: found.start()] + f"{start:%H:%M} {ends - begins} min" + phrase[found.end() :]

    def _either_way(self, phrase: str) -> bool:
        """A tolerance with its sign: “±0.5”, “+0.5”, “-0.5”."""
        found = _TOLERANCE.fullmatch(phrase)
        named = {f.name: f for f in self.fields}
        if found is None or not {"plus", "minus"} <= named.keys():
            return False
        signs = {"+": ("plus",), "-": ("minus",)}.get(found[1], ("plus", "minus"))
        for name in signs:
            self._set(named[name], value_of(self.kind, named[name], found[2], self.context))
        return True

    def _measured_again(self, phrase: str) -> bool:
        """A second bare length after a size that is measured twice: both are its readings, the first stays its value.

        Held sizes are measured twice as a rule of the trade; a tolerance is said with its sign or its name.
        """
        named = {f.name: f for f in self.fields}
        if not {"value", "readings"} <= named.keys():
            return False
        words = [phrase] if self._read(named["value"], phrase) is not None else phrase.split(" ")
        lengths = [self._read(named["value"], word) for word in words]
        if None in lengths or ("value" not in self.values and len(lengths) < 2):
            return False
        if "value" not in self.values:
            self.values["value"], *lengths = lengths
        value = self.values["value"]
        readings = self.values.get("readings", (value,))
        for again in lengths:
            if not value.ticks <= 2 * again.ticks <= 4 * value.ticks:
                raise InputError(f"“{phrase[:40]}” is no second reading of {value.in_mm()}. A tolerance is typed ±0.5.")
            readings = (*readings, again)
        self.values["readings"] = readings
        if any(again != value for again in readings):
            read = " and ".join(length.in_mm() for length in readings)
            self.doubts = (f"Read as {read}: {value.in_mm()}, the first, counts. Type first the one that is to count.",)
        return True

    def _one_of_several(self, phrase: str) -> bool:
        """Words that begin several choices of a needed field: these are asked for afterwards."""
        for field in self._open(self.leads, {FieldKind.CHOICE}):
            begun = tuple(c for c in field.choices if c.casefold().startswith(phrase.casefold()))
            if len(begun) > 1 and len(phrase) >= _LEAST_LETTERS and field.name not in self.narrowed:
                self.narrowed[field.name] = begun
                return True
        return False

    def _with_unit(self, phrase: str) -> bool:
        """An amount with its unit, where the record keeps both: “250 ml”."""
        unit = next((f for f in self.fields if f.name in ("unit", "per") and f.name not in self.values), None)
        number, _, word = phrase.partition(" ")
        if unit is None or not word or len(word) > _LONGEST_UNIT or is_known(word):
            return False
        fields = self._open((*self.leads, *self.usual), {FieldKind.NUMBER})
        return self._take_value(fields, number) and self._set(unit, word)

    def _in_words(self, phrase: str) -> bool:
        """Several values in one phrase, as in “980 x 260” or “Tue 18:00 2 h”; all of it or nothing."""
        words = re.sub(r"\s[x×]\s|(?<=\d)[x×](?=\d)", " ", phrase).split(" ")
        if len(words) == 1:
            return False
        before = dict(self.values)
        at = 0
        while at < len(words):
            count = self._value_in_front(words[at:])
            if not count:
                self.values = before
                return False
            at += count
        return True

    def _value_in_front(self, words: Sequence[str]) -> int:
        for count in range(min(_MOST_WORDS, len(words)), 0, -1):
            if self._take_value(self._open((*self.leads, *self.usual)), " ".join(words[:count])):
                return count
        return 0

    def _needed_text(self, phrase: str) -> bool:
        """The first needed words that are still open; a code where a code is needed."""
        refusal: InputError | None = None
        for field in self._open(self.leads, {FieldKind.TEXT, FieldKind.TEXTS}):
            try:
                return self._set(field, value_of(self.kind, field, phrase, self.context))
            except InputError as error:
                refusal = refusal or error
        if refusal is not None:
            raise refusal
        return False

    def _needed_list(self, phrase: str) -> bool:
        """A needed list takes every phrase that is left: “left, right”."""
        for field in (f for f in self.leads if f.kind is FieldKind.RECORDS and f.record is not None):
            before = self.values.get(field.name, ())
            more = value_of(self.kind, field, phrase, self.context)
            twice = {getattr(m, "code", None) for m in more} & {getattr(b, "code", None) for b in before}
            if twice - {None}:
                raise InputError(f"{field.label}: {phrase[:40]} is said twice.")
            self.values[field.name] = (*before, *more)
            return True
        return False

    def _usual_list(self, phrase: str) -> bool:
        """A list whose things say by themselves what they are: “12 ply + 0.6 oak veneer”."""
        for field in self._open(self.usual, {FieldKind.RECORDS}):
            if field.record is None or not any(f.kind in _TYPED for f in leading_fields(field.record)):
                continue
            value = self._read(field, phrase)
            if value is not None:
                return self._set(field, value)
        return False

    def _note(self, phrase: str) -> bool:
        note = next((f for f in self.fields if f.name in ("note", "notes") and f.kind is FieldKind.TEXT), None)
        if note is None:
            return False
        if _NO_FIGURE.fullmatch(phrase):
            unit = phrase.rsplit(" ", 1)[-1]
            raise InputError(f"“{phrase[:40]}” has a unit and no figure. Type it like 20 {unit}, or leave it out.")
        said = self.values.get(note.name)
        self.values[note.name] = f"{said}, {phrase}" if said else phrase
        return True

    def _not_understood(self, phrase: str) -> str:
        labels = [f.label for f in self.usual if f.name not in self.values and f not in self.leads][:4]
        if not labels:
            return f"“{phrase[:40]}” is more than is asked here."
        if any(f.required and f.name not in self.values for f in self.leads):
            return f"“{phrase[:40]}” was not understood. Type it like {example_of(self.kind)}."
        return f"“{phrase[:40]}” was not understood. Say first what it is: {', '.join(labels)}."


_CLOCK = r"\d{1,2}(?:[:.]\d{2})?(?: ?(?:am|pm))?"
_FROM_TO = re.compile(
    rf"(?<!\S)(?:from )?(?P<start>{_CLOCK}) ?(?:-|–|to|until|till) ?(?P<end>{_CLOCK})(?!\S)", re.IGNORECASE | re.ASCII
)
_TOLERANCE = re.compile(r"(±|\+ ?/ ?-|\+-|\+|-) ?(\d.*)")
_NO_FIGURE = re.compile(r"(?:[^\W\d]+ )?(?:min|h|mm|cm|m|g|kg|ml|l)", re.IGNORECASE)
"""At most one word and a unit, as in “x min”; a longer phrase that ends so is words."""
_COUNTS = re.compile(r"(\d{1,9})/(\d{1,9}) +(?=\S)", re.ASCII)
_DIAMETER = re.compile(r"^(?:ø ?|dia\.? )(?=\d)", re.IGNORECASE)
_ACROSS = re.compile(r"\d[\d., /]*[x×] ?\d[\d., /]*(?: ?(?:mm|in|\"))?", re.IGNORECASE)
_MEASURED = _TYPED - {FieldKind.CHOICE}
_LONGEST_UNIT = 3
_FIGURE = re.compile(r"[0-9]{1,9}(?:[.,][0-9]{1,4})?", re.ASCII)
LIKE_MONEY = re.compile(r"[0-9]{1,9}[.,][0-9]{2}", re.ASCII)
"""How an amount of money is typed where nothing else says what a figure is."""
_AMOUNTS = frozenset({"m", "g", "kg", "ml", "l", "m2"})
"""Units of an amount that is used up."""
_RATINGS = frozenset(
    {
        "w", "kw", "v", "kv", "mv", "a", "ma", "ah", "mah", "hz", "khz", "mhz", "ohm", "ohms", "kohm", "k", "pf", "nf",
        "uf", "µf", "bar", "rpm", "pin", "pins", "way", "pole",
    }
)  # fmt: skip
"""Units of what a thing is rated at: “60 W lamp” is a name and no sixty lamps."""


_SIZES = frozenset({"mm", "cm", "in", "inch"})


def _is_figure_with(pair: Sequence[str], units: frozenset[str]) -> bool:
    """Whether two words are a figure and one of these units."""
    return len(pair) == 2 and bool(_FIGURE.fullmatch(pair[0])) and pair[1].casefold() in units


_DAY_WORDS = re.compile(
    r"\d|\b(today|tomorrow|yesterday|now|mon|tue|tues|wed|thu|thur|thurs|fri|sat|sun"
    r"|monday|tuesday|wednesday|thursday|friday|saturday|sunday)\b",
    re.IGNORECASE,
)


def _says_a_day(words: str) -> bool:
    """Whether words are meant as a day where nothing says so; “may” and “march” alone are not."""
    bare_number = words.replace(".", "").replace(",", "").isdigit() and words.count(".") < 2
    return _DAY_WORDS.search(words) is not None and not bare_number
