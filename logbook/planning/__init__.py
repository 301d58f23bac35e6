"""What now, and one plan over all units: operations, waits, limits of the shop, order forced by materials.

Everything is a pure function of the book. Times inside a plan are whole minutes from its beginning, on the clock of
`free_time.Clock`, which knows the person's zone; only free hours may be worked in, waits run on at any hour.

    made = made_plan(book, now)                 the plan that stands at once: who ends when, what cannot fit
    better_plan(made, rounds, go_on)            improved by the solver, the same for the same rounds; a true bound
    with_fewest_moves(made, shop)               after something was late: as few starts moved as can be
    keep_plan(shop, made)                       kept, so that the next plan moves little of it
    faults(problem, schedule)                   the independent checker; no plan is shown that it does not let pass
    what_now(book, minutes, now)                what can be done in so many minutes with what is here, cleverest first
    countdowns(book, now), reminders(book, now) windows that run, and what must not be forgotten
    at_rest(book, today)                        units that stand still, why, since when, when to ask again
    started / stopped / finished(unit, code, …) an operation begun, laid down, done: edits of the record
    forced_order(unit, operations, rules, usual) which order the materials ask for, why, and what the other one costs
"""
