"""A model of what a power cut may leave on a disk.

Written bytes and changed names are in the cache of the system until they are flushed: bytes of a file by flushing the
file, names in a folder by flushing the folder. A cut keeps any first part of the unflushed changes of names of each
folder (a move between folders happens whole or not at all), and of unflushed bytes all, none, half, or zeros.
Writes are whole appends; a disk that lies about flushing is not in the model.
"""

from __future__ import annotations

import contextlib
import itertools
import os
from dataclasses import dataclass, field
from pathlib import Path
from threading import RLock
from typing import TYPE_CHECKING, Any

from logbook import disk

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

Files = tuple[tuple[str, "bytes | None"], ...]
"""Paths within the book and their bytes; None for a folder."""


@dataclass(eq=False)
class File:
    cached: bytes = b""
    durable: bytes = b""

    def after(self, fate: str) -> bytes:
        safe, new = self.durable, self.cached
        if safe == new or fate == "lost":
            return safe
        if fate == "kept":
            return new
        if fate == "half":
            return new[: (len(safe) + len(new)) // 2]
        return safe + bytes(max(0, len(new) - len(safe)))


@dataclass(eq=False)
class Folder:
    names: dict[str, File | Folder] = field(default_factory=dict)
    durable: dict[str, File | Folder] = field(default_factory=dict)
    pending: list[Rename] = field(default_factory=list)


@dataclass(eq=False)
class Rename:
    """Names that change at one moment: (folder, name, what the name stands for then or None)."""

    changes: list[tuple[Folder, str, File | Folder | None]]


FATES = ("lost", "kept", "half", "zeros")


class Machine:
    """Takes the effects in turn; `outcomes` says what a cut at this moment may leave."""

    def __init__(self, root: Path | str) -> None:
        self.root = os.path.abspath(root)
        self.top = Folder()
        self.open_files: dict[int, File | Folder] = {}

    @classmethod
    def of(cls, root: Path) -> Machine:
        """One on whose disk a folder is, with all that lies in it."""
        machine = cls(root)
        machine.lay(machine.files())
        return machine

    def files(self) -> Files:
        """What lies in the folder now, as the system shows it."""
        found: list[tuple[str, bytes | None]] = [(os.path.basename(self.root), None)]
        for where, folders, names in os.walk(self.root):
            below = os.path.relpath(where, os.path.dirname(self.root))
            found += [(f"{below}/{name}", None) for name in folders]
            found += [(f"{below}/{name}", Path(where, name).read_bytes()) for name in names]
        return tuple(sorted(found))

    def lay(self, files: Files) -> None:
        """These files are on the disk."""
        for path, raw in files:
            folder, name = self._find(path, self.top)
            node = Folder() if raw is None else File(raw, raw)
            folder.names[name] = folder.durable[name] = node

    def _find(self, path: str, below: Folder | None = None) -> tuple[Folder, str]:
        """The folder of a name; one that nobody knows for what lies elsewhere."""
        folder, parts = self.top, self._parts(path) if below is None else path.split("/")
        for part in parts[:-1]:
            found = folder.names.get(part)
            if not isinstance(found, Folder):
                return Folder(), parts[-1]
            folder = found
        return folder, parts[-1]

    def _parts(self, path: str) -> list[str]:
        """Path below the folder that holds the book, so that the book's own name is in the model."""
        return os.path.relpath(os.path.abspath(path), os.path.dirname(self.root)).split(os.sep)

    def _node(self, path: str) -> File | Folder | None:
        if self._parts(path) == ["."]:
            return self.top
        folder, name = self._find(path)
        return folder.names.get(name)

    def _change(self, *changes: tuple[Folder, str, File | Folder | None]) -> None:
        rename = Rename(list(changes))
        for folder, name, node in changes:
            if node is None:
                folder.names.pop(name, None)
            else:
                folder.names[name] = node
        for folder in {id(folder): folder for folder, _, _ in changes}.values():
            folder.pending.append(rename)

    def took_place(self, name: str, arguments: tuple[Any, ...], result: Any) -> None:
        """One effect of the store that succeeded."""
        handler = getattr(self, f"_on_{name}", None)
        if handler:
            handler(*arguments, result)

    def _on_open_(self, path: str, flags: int, *rest: Any) -> None:
        descriptor = rest[-1]
        node = self._node(path)
        if node is None and flags & os.O_CREAT:
            node = File()
            self._change((*self._find(path), node))
        if isinstance(node, File) and flags & os.O_TRUNC:
            node.cached = b""
        if node is not None:
            self.open_files[descriptor] = node

    def _on_close(self, descriptor: int, _: None) -> None:
        self.open_files.pop(descriptor, None)

    def _on_write(self, descriptor: int, raw: bytes, written: int) -> None:
        node = self.open_files.get(descriptor)
        if isinstance(node, File):
            node.cached += bytes(raw)[:written]

    def _on_truncate(self, descriptor: int, size: int, _: None) -> None:
        node = self.open_files.get(descriptor)
        if isinstance(node, File):
            node.cached = node.cached[:size]

    def _on_fsync(self, descriptor: int, _: None) -> None:
        node = self.open_files.get(descriptor)
        if isinstance(node, File):
            node.durable = node.cached
        if not isinstance(node, Folder):
            return
        for rename in node.pending:
            for folder, name, what in rename.changes:
                folder.durable.pop(name, None)
                if what is not None:
                    folder.durable[name] = what
                if folder is not node and rename in folder.pending:
                    folder.pending.remove(rename)
        node.pending = []

    _on_fdatasync = _on_fsync

    def _on_rename(self, source: str, target: str, _: None) -> None:
        from_folder, old = self._find(source)
        to_folder, new = self._find(target)
        if old in from_folder.names:
            self._change((to_folder, new, from_folder.names[old]), (from_folder, old, None))

    def _on_link(self, source: str, target: str, _: None) -> None:
        folder, name = self._find(source)
        if name in folder.names:
            self._change((*self._find(target), folder.names[name]))

    def _on_unlink(self, path: str, _: None) -> None:
        self._change((*self._find(path), None))

    _on_rmdir = _on_unlink

    def _on_mkdir(self, path: str, mode: int, _: None) -> None:
        self._change((*self._find(path), Folder()))

    def outcomes(self) -> Iterator[Files]:
        """Every folder that a power cut at this moment may leave, some of them more than once."""
        folders = self._folders()
        lengths = [range(len(folder.pending) + 1) for folder in folders]
        for prefix in itertools.product(*lengths):
            kept = dict(zip(map(id, folders), prefix, strict=True))
            if self._torn_move(folders, kept):
                continue
            for fate in FATES:
                yield tuple(sorted(self._left(self.top, "", kept, fate)))

    def _folders(self) -> list[Folder]:
        """Folders with unflushed names."""
        found, todo, seen = [], [self.top], set()
        while todo:
            folder = todo.pop()
            if id(folder) in seen:
                continue
            seen.add(id(folder))
            if folder.pending:
                found.append(folder)
            todo += [n for n in (*folder.names.values(), *folder.durable.values()) if isinstance(n, Folder)]
        return found

    def _torn_move(self, folders: list[Folder], kept: dict[int, int]) -> bool:
        for folder in folders:
            for number, rename in enumerate(folder.pending):
                for other, _, _ in rename.changes:
                    if other is not folder and (number < kept[id(folder)]) != (
                        other.pending.index(rename) < kept.get(id(other), 0)
                    ):
                        return True
        return False

    def _left(self, folder: Folder, path: str, kept: dict[int, int], fate: str) -> Iterator[tuple[str, bytes | None]]:
        names = dict(folder.durable)
        for rename in folder.pending[: kept.get(id(folder), 0)]:
            for where, name, node in rename.changes:
                if where is folder:
                    names.pop(name, None)
                    if node is not None:
                        names[name] = node
        for name, node in names.items():
            below = f"{path}{name}"
            if isinstance(node, File):
                yield below, node.after(fate)
            else:
                yield below, None
                yield from self._left(node, below + "/", kept, fate)


@contextlib.contextmanager
def watched(machine: Machine, moment: Callable[[], None]) -> Iterator[None]:
    """Let the machine see every effect; `moment` is called after each that changes something."""
    real = {name: getattr(disk, name) for name in disk.EFFECTS}
    one_at_a_time = RLock()

    def wrap(name: str) -> Callable[..., Any]:
        def effect(*arguments: Any) -> Any:
            with one_at_a_time:
                result = real[name](*arguments)
                machine.took_place(name, arguments, result)
                if name not in {"read", "close"}:
                    moment()
                return result

        return effect

    for name in real:
        setattr(disk, name, wrap(name))
    try:
        yield
    finally:
        for name, function in real.items():
            setattr(disk, name, function)


Cut = tuple[bool, Files]
"""Whether something was said by then, and what the cut leaves."""


class Cuts:
    """What a cut at each moment of some work may leave, with what had been said by then."""

    def __init__(self, root: Path, said: Callable[[], bool]) -> None:
        """The book, and whether something was said to be kept."""
        self._machine, self._said, self._looking = Machine.of(root), said, False
        self._found: dict[Cut, None] = {}

    def moment(self) -> None:
        """A cut now."""
        if self._looking:  # whether it was said is looked up in the book itself
            return
        self._looking = True
        said = self._said()
        self._looking = False
        self._found |= {(said, outcome): None for outcome in self._machine.outcomes()}

    @contextlib.contextmanager
    def on(self) -> Iterator[None]:
        """A cut after each effect of what is done now, and one after all of it."""
        with watched(self._machine, self.moment):
            yield
        self.moment()

    def in_turn(self) -> list[Cut]:
        """Each once, in the order of the moments at which they first may be."""
        return list(self._found)


def lay_out(files: Files, where: Path) -> None:
    """Make a folder as a cut left it."""
    where.mkdir(parents=True)
    for path, raw in files:
        if raw is None:
            (where / path).mkdir(exist_ok=True)
        else:
            (where / path).write_bytes(raw)
