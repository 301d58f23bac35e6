"""The teardown at the bench: a line of plain words that becomes a step, and what is still to be written.

Import from the module that answers the question; every function is pure and takes records.

`line` and `write`, the line of plain words:
    read_line(text: str, unit: Unit, *, code: str | None = None, base: Step | None = None) -> Reading
        Reading: step, after, better_after, phrases, problems, unknown, complete
        Phrase: text, start, end, field, meaning, problem
        UNSAID = "?"  (what came off, while it is not said)
    write_line(step: Step, after: Iterable[str] = (), better_after: Iterable[str] = (), *, unit=None) -> str
`complete_line`, words of the unit while they are typed:
    suggestions(unit: Unit) -> tuple[str, ...]
    completions(text: str, unit: Unit, limit: int = 5) -> tuple[str, ...]    whole lines, best first
`bench`, what the bench screen needs:
    same_kinds(unit, limit=9) -> tuple[Fastener, ...]
    next_bag(unit) -> str, next_box(unit) -> str
    before_this(unit, code="") -> str
    active_hazards(unit, now, of_class=(), step=None) -> tuple[ActiveHazard, ...]; dangers_in_force: in record order
        ActiveHazard: hazard, source, proof (None or `model.proofs.Proved`), safe, standing, head, sentence
    stop_questions(step) -> tuple[StopQuestion, ...]    (answer: StopAnswer, question: str)
    open_dead(reading, unit) -> OpenDead | None    (a phrase “dead 0.2 V” that can mean several dangers)
`holds`, hold points of the teardown:
    hold_is_open(step) -> str, hold_sign(step) -> str
    with_hold_answered(unit, code, text, at) -> Unit
`left_as`, how it was left half apart:
    LEAVING_QUESTIONS, answers_of(unit), with_answers(unit, answers, at, by), left_words(unit), still_as_left(unit)
`draft`, one key at a time on a step that is not kept yet:
    new_draft(unit, code=None) -> Step
    with_action(step, action), with_same(step, fastener, count=None),
    with_found(step, index, found), with_then(step, index, then=None), without_fastener(step, index),
    with_photo(step, taken=None), with_wires(step, count),
    toggle_flag(step, flag: Flag), with_answer(step, answer: StopAnswer) -> Step
    changed_line(text, unit, change: Callable[[Step], Step], *, code=None, base=None) -> str
    toggled_order(text, unit, earlier: str, *, better=False, code=None) -> str
    Flag (StrEnum), FLAG_LETTERS, vocabulary.ACTION_LETTERS
`complete`, the desk:
    to_complete(unit) -> tuple[Missing, ...]     (step, field, sentence, weight), newest first
    completeness(unit) -> Completeness | None    (percent, done, wanted, worst)
`stranger`, how far somebody gets with the record alone:
    reach(unit) -> Reach | None                  (steps, clear, straight, stop, sentence)
`threads` and `same_screw`, a loose screw:
    measured(diameter: str, pitch="", length="", *, wood=None) -> Screw
    identify(screw, limit=8) -> Answer           (candidates, sentence)
        Candidate: thread, fits, off, pitch_off, difference
    same_kind(screw, thread, unit, shop) -> tuple[Place, ...]
`search`:
    find(book, words, limit=200) -> tuple[Found, ...]    (unit, kind, code, text, step); KINDS
    Finder().find(book, words, limit=200)    the same, for a screen that searches while words are typed
`stage`, all units (`ready` has the rules of what can be done now):
    next_action(unit, today: date) -> str    starts with `WAITS` while it waits
    days_untouched(unit, now: datetime) -> int | None
    overdue(book, today) -> tuple[Overdue, ...]    (unit, what, due, chase, days)
    do_not_forget(book, now) -> tuple[Reminder, ...]    (unit, sentence)
`keeping` and `relations`, what happens when a line is kept and how the order between steps is edited.
"""
