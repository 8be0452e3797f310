"""Checks of single values in a record's body: each says what is wrong and what would be right."""

import math
import uuid
from collections.abc import Callable, Iterable
from datetime import date
from typing import NamedTuple
from zoneinfo import available_timezones

from nursery.sentences import Sentence, sentence


class Wrong(NamedTuple):
    """What is wrong with a value, and the mend."""

    message: Sentence
    mend: Sentence


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
    """A finite number within [low, high]; the unit's name is marked for translation where it is given."""
    mend = sentence("Give a number from {low} to {high}.", low=low, high=high)
    if unit:
        mend = sentence("Give a number from {low} to {high} {unit:word}.", low=low, high=high, unit=unit)
    right = Wrong("", mend)

    def check(value: object) -> Wrong | None:
        if isinstance(value, bool) or not isinstance(value, int | float):
            return right._replace(message=sentence("{value} is not a number", value=_short(value)))
        if not low <= value <= high or not math.isfinite(value):
            return right._replace(message=_outside(value, low, high))
        return None

    return check


def whole(low: int, high: int) -> Check:
    """A whole number within [low, high]."""
    right = Wrong("", sentence("Give a whole number from {low} to {high}.", low=low, high=high))

    def check(value: object) -> Wrong | None:
        if isinstance(value, bool) or not isinstance(value, int):
            return right._replace(message=sentence("{value} is not a whole number", value=_short(value)))
        if not low <= value <= high:
            return right._replace(message=_outside(value, low, high))
        return None

    return check


def text(longest: int, *, empty: bool = False) -> Check:
    """Text of at most ``longest`` characters, with something in it unless ``empty``."""
    least = 0 if empty else 1
    right = Wrong("", sentence("Give {least} to {most} characters.", least=least, most=longest))

    def check(value: object) -> Wrong | None:
        if not isinstance(value, str):
            return right._replace(message=sentence("{value} is not text", value=_short(value)))
        if len(value) > longest:
            return right._replace(message=sentence("the text has {n} characters", n=len(value)))
        if not empty and not value.strip():
            return right._replace(message=sentence("the text is empty"))
        return None

    return check


def tag(value: object) -> Wrong | None:
    """A tree's tag: 1 to 16 printable characters."""
    if isinstance(value, str) and 1 <= len(value) <= 16 and value.isprintable() and value.strip() == value:
        return None
    return Wrong(
        sentence("{value} is not a tag", value=_short(value)),
        sentence("Give 1 to 16 printable characters, none of them at the ends blank."),
    )


def word(choices: Iterable[str], *, mend: Sentence = "") -> Check:
    """One of a closed list of words. They are told as they stand in a record: so must they be given."""
    known = frozenset(choices)
    right = Wrong("", mend or sentence("Use one of: {words}.", words=", ".join(sorted(known))))

    def check(value: object) -> Wrong | None:
        if isinstance(value, str) and value in known:
            return None
        return right._replace(message=sentence("{value} is not a known word", value=_short(value)))

    return check


def flag(value: object) -> Wrong | None:
    """True or false."""
    if isinstance(value, bool):
        return None
    wrong = sentence("{value} is neither true nor false", value=_short(value))
    return Wrong(wrong, sentence("Give true or false."))


def whatever(value: object) -> Wrong | None:
    """Checked with the whole body, where it depends on another entry."""
    return None


def ident(value: object) -> Wrong | None:
    """A UUID as text."""
    if as_uuid(value):
        return None
    return Wrong(sentence("{value} is not an id", value=_short(value)), sentence("Give the thing's UUID."))


def sha256(value: object) -> Wrong | None:
    """A sha256 in lower-case hex."""
    if isinstance(value, str) and len(value) == 64 and not set(value) - set("0123456789abcdef"):
        return None
    return Wrong(sentence("{value} is not a sha256", value=_short(value)), sentence("Give 64 hex digits."))


def day(value: object) -> Wrong | None:
    """A date, YYYY-MM-DD."""
    if isinstance(value, str) and len(value) == 10:
        try:
            date.fromisoformat(value)
        except ValueError:
            pass
        else:
            return None
    wrong = sentence("{value} is not a date", value=_short(value))
    return Wrong(wrong, sentence("Give the day as YYYY-MM-DD."))


def zone(value: object) -> Wrong | None:
    """A time zone's name."""
    if isinstance(value, str) and value in available_timezones():
        return None
    wrong = sentence("{value} is not a time zone", value=_short(value))
    return Wrong(wrong, sentence("Give a name such as Europe/Rome."))


def roots(value: object) -> Wrong | None:
    """Surface roots around the trunk: [{"deg": 0..359.9, "grade": 1..5, "level": bool}], at most 60."""
    mend = sentence("Give at most 60 roots, each with deg 0 to 359.9, grade 1 to 5, level true or false.")
    if not isinstance(value, list) or len(value) > 60:
        return Wrong(sentence("the roots are not a list of at most 60"), mend)
    deg, grade = number(0, 359.999), whole(1, 5)
    for at, root in enumerate(value):
        if not isinstance(root, dict):
            return Wrong(sentence("root {n} has no angle", n=at + 1), mend)
        wrong = deg(root.get("deg")) or grade(root.get("grade")) or flag(root.get("level"))
        if wrong:
            return Wrong(sentence("root {n}: {why:word}", n=at + 1, why=wrong.message), mend)
    return None


def words(choices: Iterable[str]) -> Check:
    """A list of words out of a closed list."""
    one, known = word(choices), sorted(choices)

    def check(value: object) -> Wrong | None:
        if not isinstance(value, list) or len(value) > len(known):
            told = sentence("{value} is not a list of words", value=_short(value))
            return Wrong(told, sentence("Use some of: {words}.", words=", ".join(known)))
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


def _outside(value: float, low: float, high: float) -> Sentence:
    return sentence("{value} is outside {low} to {high}", value=_short(value), low=low, high=high)


def _short(value: object) -> str | float:
    """A number that is said whole stays one, for the reader's decimal mark; all else as it was written."""
    size = value if isinstance(value, int | float) and not isinstance(value, bool) else math.inf
    if abs(size) < 1e12 and round(size, 4) == size:
        return size
    shown = repr(value)
    return shown if len(shown) <= 40 else shown[:37] + "..."
