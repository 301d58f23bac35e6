"""A person's own settings: one TOML file with the theme and the keys.

theme = "workshop-light"
pictures = "blocks"
[keys]
"bench.new" = "a"
"""

from __future__ import annotations

import os
import tomllib
from dataclasses import dataclass, field
from pathlib import Path

PICTURES = ("auto", "terminal", "blocks", "off")
THEMES = ("workshop-dark", "workshop-light", "ansi-dark", "ansi-light")


@dataclass(frozen=True)
class Settings:
    """What the settings file says; a mistake in it is a sentence in `problems`, and the default holds."""

    theme: str = "workshop-dark"
    pictures: str = "auto"
    """How photos are shown: by the terminal itself where it can, as half blocks, or not at all."""
    keys: dict[str, str] = field(default_factory=dict)
    problems: tuple[str, ...] = ()
    source: str = ""
    """The file they were read from."""

    @classmethod
    def path(cls) -> Path:
        """Where the file is looked for."""
        from platformdirs import user_config_path

        named = os.environ.get("LOGBOOK_SETTINGS")
        return Path(named) if named else user_config_path("restorers-logbook") / "settings.toml"

    @classmethod
    def load(cls, path: Path | None = None) -> Settings:
        """Read the file; one that is not there is no problem."""
        path = path or cls.path()
        try:
            raw = tomllib.loads(path.read_text(encoding="utf-8"))
        except FileNotFoundError:
            return cls()
        except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
            return cls(problems=(f"The settings in {path} were not used: {error}.",))
        return cls._checked(raw, path)

    @classmethod
    def _checked(cls, raw: dict[str, object], path: Path) -> Settings:
        problems = [f"{path}: “{name}” is not a setting." for name in raw if name not in ("theme", "pictures", "keys")]
        theme = raw.get("theme", "workshop-dark")
        if theme not in THEMES:
            problems.append(f"{path}: theme must be one of {', '.join(THEMES)}.")
            theme = "workshop-dark"
        pictures = raw.get("pictures", "auto")
        if pictures not in PICTURES:
            problems.append(f"{path}: pictures must be one of {', '.join(PICTURES)}.")
            pictures = "auto"
        given = raw.get("keys", {})
        keys = {k: v for k, v in given.items() if isinstance(v, str)} if isinstance(given, dict) else {}
        return cls(str(theme), str(pictures), keys, tuple(problems), str(path))
