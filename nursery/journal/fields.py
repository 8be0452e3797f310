"""Checks of single values in a record's body: each says what is wrong and what would be right."""

import math
import uuid
from collections.abc import Callable, Iterable
from datetime import date
from typing import NamedTuple
from zoneinfo import available_timezones


class Wrong(NamedTuple):
    """What is wrong with a value, and the mend."""

    message: str
    mend: str


#: None = the value is right.
Check = Callable[[object], Wrong | None]


class Field(NamedTuple):
    """One entry of a body. ``null``: JSON null is allowed and means "none"."""

    name: str
    check: Check
    required: bool = True
    null: bool = False


def opt(name: str, check: Check) -> Field:
    """An entry that may be absent or null."""
    return Field(name, check, required=False, null=True)


def number(low: float, high: float, unit: str = "") -> Check:
    """A finite number within [low, high]."""
    right = Wrong("", f"Give a number from {low:g} to {high:g}{' ' + unit if unit else ''}.")

    def check(value: object) -> Wrong | None:
        if isinstance(value, bool) or not isinstance(value, int | float):
            return right._replace(message=f"{_short(value)} is not a number")
        if not low <= value <= high or not math.isfinite(value):
            return right._replace(message=f"{_short(value)} is outside {low:g} to {high:g}")
        return None

    return check


def whole(low: int, high: int) -> Check:
    """A whole number within [low, high]."""
    right = Wrong("", f"Give a whole number from {low} to {high}.")

    def check(value: object) -> Wrong | None:
        if isinstance(value, bool) or not isinstance(value, int):
            return right._replace(message=f"{_short(value)} is not a whole number")
        if not low <= value <= high:
            return right._replace(message=f"{_short(value)} is outside {low} to {high}")
        return None

    return check


def text(longest: int, *, empty: bool = False) -> Check:
    """Text of at most ``longest`` characters, with something in it unless ``empty``."""
    right = Wrong("", f"Give {0 if empty else 1} to {longest} characters.")

    def check(value: object) -> Wrong | None:
        if not isinstance(value, str):
            return right._replace(message=f"{_short(value)} is not text")
        if len(value) > longest:
            return right._replace(message=f"the text has {len(value)} characters")
        if not empty and not value.strip():
            return right._replace(message="the text is empty")
        return None

    return check


def tag(value: object) -> Wrong | None:
    """A tree's tag: 1 to 16 printable characters."""
    if isinstance(value, str) and 1 <= len(value) <= 16 and value.isprintable() and value.strip() == value:
        return None
    return Wrong(
        f"{_short(value)} is not a tag", "Give 1 to 16 printable characters, none of them at the ends blank."
    )


def word(choices: Iterable[str], *, mend: str = "") -> Check:
    """One of a closed list of words."""
    known = frozenset(choices)
    right = Wrong("", mend or f"Use one of: {', '.join(sorted(known))}.")

    def check(value: object) -> Wrong | None:
        if isinstance(value, str) and value in known:
            return None
        return right._replace(message=f"{_short(value)} is not a known word")

    return check


def flag(value: object) -> Wrong | None:
    """True or false."""
    if isinstance(value, bool):
        return None
    return Wrong(f"{_short(value)} is neither true nor false", "Give true or false.")


def whatever(value: object) -> Wrong | None:
    """Checked with the whole body, where it depends on another entry."""
    return None


def ident(value: object) -> Wrong | None:
    """A UUID as text."""
    return None if as_uuid(value) else Wrong(f"{_short(value)} is not an id", "Give the thing's UUID.")


def sha256(value: object) -> Wrong | None:
    """A sha256 in lower-case hex."""
    if isinstance(value, str) and len(value) == 64 and not set(value) - set("0123456789abcdef"):
        return None
    return Wrong(f"{_short(value)} is not a sha256", "Give 64 hex digits.")


def day(value: object) -> Wrong | None:
    """A date, YYYY-MM-DD."""
    if isinstance(value, str) and len(value) == 10:
        try:
            date.fromisoformat(value)
        except ValueError:
            pass
        else:
            return None
    return Wrong(f"{_short(value)} is not a date", "Give the day as YYYY-MM-DD.")


def zone(value: object) -> Wrong | None:
    """A time zone's name."""
    if isinstance(value, str) and value in available_timezones():
        return None
    return Wrong(f"{_short(value)} is not a time zone", "Give a name such as Europe/Rome.")


def roots(value: object) -> Wrong | None:
    """Surface roots around the trunk: [{"deg": 0..359.9, "grade": 1..5, "level": bool}], at most 60."""
    mend = "Give at most 60 roots, each with deg 0 to 359.9, grade 1 to 5, level true or false."
    if not isinstance(value, list) or len(value) > 60:
        return Wrong("the roots are not a list of at most 60", mend)
    deg, grade = number(0, 359.999), whole(1, 5)
    for at, root in enumerate(value):
        if not isinstance(root, dict):
            return Wrong(f"root {at + 1} has no angle", mend)
        wrong = deg(root.get("deg")) or grade(root.get("grade")) or flag(root.get("level"))
        if wrong:
            return Wrong(f"root {at + 1}: {wrong.message}", mend)
    return None


def words(choices: Iterable[str]) -> Check:
    """A list of words out of a closed list."""
    one, known = word(choices), sorted(choices)

    def check(value: object) -> Wrong | None:
        if not isinstance(value, list) or len(value) > len(known):
            return Wrong(f"{_short(value)} is not a list of words", f"Use some of: {', '.join(known)}.")
        return next((wrong for item in value if (wrong := one(item))), None)

    return check


def as_uuid(value: object) -> uuid.UUID | None:
    """The UUID that a text of 36 characters stands for, or None."""
    if not isinstance(value, str) or len(value) != 36:
        return None
    try:
        return uuid.UUID(value)
    except ValueError:
        return None


def _short(value: object) -> str:
    shown = repr(value)
    return shown if len(shown) <= 40 else shown[:37] + "..."
