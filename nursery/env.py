"""Read switches from the environment: typed, and refused in one sentence when they make no sense."""

import os
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured


def text(name: str, default: str) -> str:
    return os.environ.get(name, default)


def flag(name: str, default: bool) -> bool:
    """``1/true/yes/on`` or ``0/false/no/off``; anything else is refused rather than guessed."""
    raw = os.environ.get(name)
    if raw is None:
        return default
    word = raw.strip().lower()
    if word in {"1", "true", "yes", "on"}:
        return True
    if word in {"0", "false", "no", "off", ""}:
        return False
    raise ImproperlyConfigured(f"{name} is {raw!r}: use 1 or 0")


def whole(name: str, default: int, *, low: int, high: int) -> int:
    raw = os.environ.get(name)
    if raw is None:
        return default
    try:
        value = int(raw)
    except ValueError:
        raise ImproperlyConfigured(f"{name} is {raw!r}: use a whole number") from None
    if not low <= value <= high:
        raise ImproperlyConfigured(f"{name} is {value}: use {low} to {high}")
    return value


def words(name: str, default: list[str]) -> list[str]:
    """A list parted by commas."""
    raw = os.environ.get(name)
    if raw is None:
        return default
    return [part.strip() for part in raw.split(",") if part.strip()]


def folder(name: str, default: Path) -> Path:
    return Path(os.environ.get(name, str(default))).expanduser()
