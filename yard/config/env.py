"""Typed readers of environment variables that fail loudly: a wrong value stops the start, it is never guessed at."""

import os
from collections.abc import Sequence
from pathlib import Path

TRUE_WORDS = ("1", "true", "yes", "on")
FALSE_WORDS = ("0", "false", "no", "off")


class BadSetting(Exception):  # noqa: N818 - reads as the sentence it is: "raise BadSetting"
    """An environment variable is missing or holds something that cannot be meant."""


def load_file(path: Path) -> None:
    """Read NAME=value lines of a file into the environment; what the environment already says wins."""
    if not path.is_file():
        return
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        text = line.strip()
        if not text or text.startswith("#"):
            continue
        name, equals, value = text.partition("=")
        if not equals or not name.strip():
            raise BadSetting(f"{path.name} line {number}: expected NAME=value, found {text!r}")
        os.environ.setdefault(name.strip(), value.strip().strip("\"'"))


def text(name: str, default: str | None = None) -> str:
    """The variable as text; without a default it must be set and not empty."""
    value = os.environ.get(name, "").strip()
    if value:
        return value
    if default is None:
        raise BadSetting(f"{name} is not set; see the settings table in DEVELOPERS.md")
    return default


def choice(name: str, choices: Sequence[str], default: str) -> str:
    """The variable as one of a few words."""
    value = text(name, default)
    if value not in choices:
        raise BadSetting(f"{name} is {value!r}; it must be one of: {', '.join(choices)}")
    return value


def flag(name: str, default: bool) -> bool:
    """The variable as yes or no."""
    value = text(name, "yes" if default else "no").lower()
    if value in TRUE_WORDS:
        return True
    if value in FALSE_WORDS:
        return False
    raise BadSetting(f"{name} is {value!r}; it must be yes or no")


def whole(name: str, default: int, low: int, high: int) -> int:
    """The variable as a whole number between low and high."""
    value = text(name, str(default))
    if not value.isascii() or not value.lstrip("-").isdigit() or not low <= int(value) <= high:
        raise BadSetting(f"{name} is {value!r}; it must be a whole number from {low} to {high}")
    return int(value)


def words(name: str, default: Sequence[str] = ()) -> list[str]:
    """The variable as a comma-separated list."""
    return [word.strip() for word in text(name, ",".join(default)).split(",") if word.strip()]
