"""Where the files of a record are."""

from __future__ import annotations

import os
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class RecordFiles:
    """Where the files of a record are."""

    folder: str
    kind: str
    code: str

    @property
    def document(self) -> str:
        """The document's file."""
        return os.path.join(self.folder, f"{self.kind}.json")

    @property
    def history(self) -> str:
        """The history's file."""
        return os.path.join(self.folder, f"{self.kind}.history.jsonl")

    @property
    def packed(self) -> str:
        """Folder of older history."""
        return os.path.join(self.folder, "history")

    @property
    def copies(self) -> str:
        """Folder of good copies."""
        return os.path.join(self.folder, "copies")

    @property
    def name(self) -> str:
        """How sentences call the record."""
        return self.code if self.kind == "unit" else f"the {self.kind}"
