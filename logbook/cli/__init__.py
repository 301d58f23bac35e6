"""The command line: every view as plain text, documents in and out, and the start of the interface.

- `program`: runs one command and turns expected errors into a sentence and an exit code.
- `arguments`: the words, and what is said when they are mistyped. `books`: which book, and who writes.
- `commands`: what each command does. `papers`: print, ticks, starters. `example`: the demo book.
- `output`: text to a terminal, pipe or file.

Nothing heavy is imported before a command needs it, and the screens only by the commands that show them.
"""
