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
from typing import TYPE_CHECKING, Any

from logbook.store import disk

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

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

    def _find(self, path: str) -> tuple[Folder, str]:
        folder, parts = self.top, self._parts(path)
        for part in parts[:-1]:
            found = folder.names[part]
            assert isinstance(found, Folder)
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
        self.open_files[descriptor].cached += bytes(raw)[:written]

    def _on_truncate(self, descriptor: int, size: int, _: None) -> None:
        node = self.open_files[descriptor]
        node.cached = node.cached[:size]

    def _on_fsync(self, descriptor: int, _: None) -> None:
        node = self.open_files[descriptor]
        if isinstance(node, File):
            node.durable = node.cached
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
        self._change((to_folder, new, from_folder.names[old]), (from_folder, old, None))

    def _on_link(self, source: str, target: str, _: None) -> None:
        folder, name = self._find(source)
        self._change((*self._find(target), folder.names[name]))

    def _on_unlink(self, path: str, _: None) -> None:
        self._change((*self._find(path), None))

    def _on_mkdir(self, path: str, _: None) -> None:
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

    def wrap(name: str) -> Callable[..., Any]:
        def effect(*arguments: Any) -> Any:
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


def lay_out(files: Files, where: Path) -> None:
    """Make a folder as a cut left it."""
    where.mkdir(parents=True)
    for path, raw in files:
        if raw is None:
            (where / path).mkdir(exist_ok=True)
        else:
            (where / path).write_bytes(raw)
