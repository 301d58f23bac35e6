"""A folder's pictures while they are looked over: proposed, ticked, put elsewhere by hand; nothing is kept by it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from logbook.model.photo_edits import Spot, at_step
from logbook.model.words import LinkBasis
from logbook.photos.linking import CameraOffset, Link, LinkCertainty
from logbook.session.session import Session
from logbook.session.unit_photos import (
    FoundPicture,
    Looked,
    PictureWanted,
    best_clocks,
    known_photos,
    pictures_in,
    proposal,
    put_right,
)


class Inbox:
    """A folder into which pictures come while it is watched."""

    def __init__(self, folder: Path, seen: Iterable[Path] = ()) -> None:
        self._folder = folder
        self._seen = set(seen)
        self._sizes: dict[Path, int] = {}
        """Of files that came, when last looked; one that still grows is being copied."""

    def came(self) -> list[Path]:
        """The files that came and have stopped growing since the last call; each is given once.

        Raises:
            InputError: the folder is gone.
        """
        now: dict[Path, int] = {}
        for path in pictures_in(self._folder):
            if path not in self._seen:
                try:
                    now[path] = path.stat().st_size
                except OSError:  # taken away meanwhile
                    continue
        whole = [path for path, size in now.items() if self._sizes.get(path) == size]
        self._seen.update(whole)
        self._sizes = now
        return whole


@dataclass
class Choice:
    """One picture as it stands in the list."""

    found: FoundPicture
    unit: str
    spot: Spot | None
    """None: at no step."""
    certainty: LinkCertainty | None
    why: str
    basis: LinkBasis
    take: bool


class LookedOver:
    """What was found in a folder, where each picture would go, and what the person said of that."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self.looked = Looked((), ())
        self.clocks: dict[str, CameraOffset] = {}
        self.choices: dict[str, Choice] = {}
        """By the picture's name, in the order in which they are shown."""
        self._by_hand: dict[str, tuple[str, Spot]] = {}
        self._turned: set[str] = set()
        """Pictures whose tick the person changed."""
        self._of_clocks: set[str] = set()
        """Pictures of a clock; they show no step."""

    def begin(self, looked: Looked) -> None:
        """Take what a folder holds."""
        self.looked = looked
        said = {camera: clock for camera, clock in self.clocks.items() if clock.why.startswith("set by hand")}
        self.clocks = {**best_clocks(looked, self._session, self._session.codes()), **said}
        self._propose()

    def add(self, more: Looked) -> int:
        """Take what came into the folder later; how many pictures of it are new."""
        there = {f.sha256: f for f in self.looked.found}
        new = tuple(f for f in more.found if f.sha256 not in there)
        twice = tuple(
            f"{f.path.name} is the same picture as {there[f.sha256].path.name}; it is taken once."
            for f in more.found
            if f.sha256 in there
        )
        self.begin(Looked((*self.looked.found, *new), (*self.looked.problems, *more.problems, *twice)))
        return len(new)

    def refresh(self) -> None:
        """Propose anew when the record holds other pictures of the folder: what undo took out is offered again."""
        known = known_photos(self._session)
        found = tuple(replace(f, known_at=known.get(f.sha256, "")) for f in self.looked.found)
        if found != self.looked.found:
            self.looked = self.looked._replace(found=found)
            self._propose()

    def turn(self, names: set[str]) -> None:
        """Tick what was not ticked, and the other way round."""
        self._turned ^= names
        self._propose()

    def take_all(self) -> None:
        """Tick all that have a step; when all are ticked already, only what was ticked at first."""
        missing = {name for name, c in self.choices.items() if c.spot is not None and not c.take}
        self._turned = self._turned ^ missing if missing else set()
        self._propose()

    def put(self, name: str, unit: str, spot: Spot) -> None:
        """Put a picture somewhere by hand."""
        self._by_hand[name] = (unit, spot)
        self._turned.discard(name)
        self._propose()

    def set_clock(self, cameras: Iterable[str], clock: CameraOffset, *, of: str = "") -> None:
        """Say how far cameras were off; `of` is the picture of a clock that says so."""
        self.clocks = {**self.clocks, **dict.fromkeys(cameras, clock)}
        if of:
            self._of_clocks.add(of)
        self._propose()

    def wanted(self) -> list[PictureWanted]:
        """What is ticked."""
        return [
            PictureWanted(c.found, c.unit, c.spot, c.basis, put_right(c.found.taken, self.clocks))
            for c in self.choices.values()
            if c.take and c.spot is not None
        ]

    def sentence(self) -> str:
        """How it stands, in a sentence."""
        if not self.looked.found and not self.looked.problems:
            return "There is no picture in that folder. Press a to name another."
        if not self.choices and self.looked.found:
            return f"All {len(self.looked.found)} pictures of that folder are in the record already."
        choices = self.choices.values()
        ticked, nowhere = sum(c.take for c in choices), sum(c.spot is None for c in choices)
        unsure = sum(c.certainty is LinkCertainty.UNSURE for c in choices)
        known = sum(bool(f.known_at) for f in self.looked.found)
        parts = [f"{ticked} of {len(choices)} pictures ticked to be linked"]
        parts += [f"{unsure} unsure"] if unsure else []
        parts += [f"{nowhere} at no step"] if nowhere else []
        parts += [f"{known} in the record already"] if known else []
        parts += [f"{len(self.looked.problems)} not taken (w)"] if self.looked.problems else []
        hint = " E or = sets the camera's clock." if unsure and not self.clocks else ""
        return ", ".join(parts) + f".{hint}"

    def _propose(self) -> None:
        made = proposal(self._session, self.looked, self._session.codes(), self.clocks)
        links, whys = {link.photo: link for link in made.links}, dict(made.orphans)
        self.choices = {
            (name := found.taken.name): self._choice(name, found, links.get(name), whys.get(name, ""))
            for found in self.looked.found
            if not found.known_at
        }

    def _choice(self, name: str, found: FoundPicture, link: Link | None, why: str) -> Choice:
        if name in self._by_hand:
            unit, spot = self._by_hand[name]
            choice = Choice(found, unit, spot, LinkCertainty.CERTAIN, "put there by hand", LinkBasis.HAND, True)
        elif name in self._of_clocks:
            choice = Choice(found, "", None, None, "a picture of a clock", LinkBasis.HAND, False)
        elif link is not None:
            take = link.certainty is not LinkCertainty.UNSURE
            choice = Choice(found, link.unit, at_step(link.step), link.certainty, link.why, link.basis, take)
        else:
            choice = Choice(found, "", None, None, why, LinkBasis.HAND, False)
        if name in self._turned:
            choice.take = not choice.take and choice.spot is not None
        return choice
