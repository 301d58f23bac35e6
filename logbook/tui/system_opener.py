"""Opening a file with whatever the person's system uses for it."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

from logbook.errors import InputError


def viewer() -> list[str]:
    """The command that opens a file here; empty when there is none."""
    if sys.platform == "darwin":
        return ["open"]
    if os.name == "nt":
        return ["explorer"]
    found = shutil.which("xdg-open")
    shown = os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    return [found] if found and shown else []


def open_outside(path: Path) -> None:
    """Open a file in the system's viewer, without waiting for it.

    Raises:
        InputError: there is no viewer here, as over a remote line.
    """
    command = viewer()
    if not command:
        raise InputError(f"There is no viewer on this terminal. The file is {path}.")
    try:
        subprocess.Popen(  # noqa: S603 - the command is the system's own, the path is one argument
            [*command, str(path)], stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            start_new_session=True,
        )  # fmt: skip
    except OSError as error:
        raise InputError(f"The viewer could not be started: {error.strerror}. The file is {path}.") from error
