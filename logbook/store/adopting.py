"""The folder of a unit taken into a book from elsewhere, whole: its story, its pictures and all that lies beside."""

from __future__ import annotations

import os
import shutil

from logbook import disk
from logbook.files import make_folder, read_file, replace_durably


def copy_folder(source: str, target: str) -> None:
    """Copy a folder durably under a name that nobody takes for a unit yet; raises `OSError`.

    What is hidden is of the running program and stays behind. A copy that was cut short is made anew.
    """
    shutil.rmtree(target, ignore_errors=True)
    make_folder(target)
    for name in sorted(os.listdir(source)):
        inside, copied = os.path.join(source, name), os.path.join(target, name)
        if name.startswith(".") or os.path.islink(inside):
            continue
        if os.path.isdir(inside):
            copy_folder(inside, copied)
        else:
            replace_durably(copied, read_file(inside))


def adopt(source: str, target: str) -> None:
    """Put a copy of a unit's folder in its place, whole or not at all; raises `OSError`."""
    folder, code = os.path.split(target)
    beside = os.path.join(folder, f".{code}.new")
    copy_folder(source, beside)
    if os.path.isdir(target):  # blank, as a beginning that was cut short leaves it
        disk.rmdir(target)
    disk.rename(beside, target)
    make_folder(target)
