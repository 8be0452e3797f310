"""Sentences as data: made where a thing is known, said in the reader's language and units where it is read.

A sentence is its English text with markers, and the values for them::

    ["{state:word} on {day:on}", {"state": "snug", "day": "2026-04-04"}]

or, where it has no values, its text alone. So a text kept by an older version is a sentence too: no catalogue
holds it, and it is said as it is. The phone says them by ``frontend/bench/model/sentences.ts``; both are held
to ``tests/vectors/sentences.json``.

============================  =========================================================================
marker                        the value, and how it is said
============================  =========================================================================
``{name}``                    text as it is, or a number without needless noughts
``{x:1}``                     a number with so many decimals (0 to 4)
``{n:root|roots}``            the first word for 1, else the second
``{share:percent}``           percent: ``67%``
``{p:chance}``                whole percent of a chance: never ``0%`` or ``100%``, nothing here is certain
``{day:on}``                  an ISO day: ``4 April``, in another year ``4 April 2024``
``{day:since}``               the same; a year or more ago ``April 2024`` is enough
``{day:month}``, ``:short``   ``April 2024``; ``4 Apr 2024``
``{x:mm}``, ``:mm0``          a length [mm]: ``18.2 mm``, ``21 mm``; whole millimetres
``{x:mm1}``, ``:bare0``       always with its tenth; as ``mm0`` without the unit's name
``{what:word}``               a sentence, or a word of a closed list
``{what:capital}``            the same with a capital at its start
``{names:list}``              several of them: ``a``, ``a and b``, ``a, b and c``
============================  =========================================================================

A number must come rounded to what is said of it: Python and TypeScript round halves in two ways.
"""

import json
import math
import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any, TypeAlias, cast

from django.utils import timezone
from django.utils.translation import get_language, gettext, gettext_lazy, override

#: Text, or [text, {name: value}] as JSON keeps it.
Sentence: TypeAlias = str | list[Any]


def N_(text: str) -> str:
    """Marks a text that is translated where it is said."""
    return text


MONTHS = (
    *(N_("January"), N_("February"), N_("March"), N_("April"), N_("May"), N_("June"), N_("July")),
    *(N_("August"), N_("September"), N_("October"), N_("November"), N_("December")),
)
SHORT = (
    *(N_("Jan"), N_("Feb"), N_("Mar"), N_("Apr"), N_("May"), N_("Jun"), N_("Jul"), N_("Aug")),
    *(N_("Sep"), N_("Oct"), N_("Nov"), N_("Dec")),
)
DAY, DAY_OF_YEAR, MONTH = N_("{day} {month}"), N_("{day} {month} {year}"), N_("{month} {year}")
PERCENT, AND = N_("{number}%"), N_("{before} and {last}")
SIGN = {"mm": N_("{number} mm"), "cm": N_("{number} cm"), "in": N_("{number} in")}
#: Decimal marks that are no point.
_DECIMAL = {"de": ","}
#: Millimetres to a unit, and the decimals that are worth saying: usually, and of whole millimetres.
UNITS = {"mm": (1.0, 1, 0), "cm": (10.0, 2, 1), "in": (25.4, 2, 2)}

_MARKER = re.compile(r"\{(\w+)(?::([^{}]+))?\}")


def sentence(text: str, /, **values: Any) -> Sentence:
    """A sentence; the values must be what JSON knows."""
    return [text, values] if values else text


def said(text: str, /, **values: Any) -> str:
    """A sentence said at once, where nobody keeps it."""
    return say([text, values] if values else text)


def later(text: str) -> str:
    """A text said in the language that is active each time it is shown. To ``join`` it takes ``str()``."""
    return cast(str, gettext_lazy(text))


def number(value: float) -> str:
    """A number without needless noughts, with the decimal mark of the language that is active."""
    return _Saying(None, "mm").plain(float(value))


def english(sentence: Sentence) -> str:
    """A sentence in English, for what is kept as text."""
    with override("en"):
        return say(sentence)


def kept(sentence: Sentence) -> str:
    """A sentence as a column of text keeps it: with values as JSON, without as it is. Back by ``unkept``."""
    return sentence if isinstance(sentence, str) else json.dumps(sentence, separators=(",", ":"))


def unkept(text: str) -> Sentence:
    """The sentence that ``kept`` made this of. Other text, as older versions kept it, stays as it is."""
    if not text.startswith('["'):
        return text
    try:
        found: list[Any] = json.loads(text)
    except ValueError:
        return text
    return found if len(found) == 2 and isinstance(found[1], dict) else text


def length(mm: float) -> float:
    """A length as ``{:mm}`` says it: to the tenth."""
    return round(float(mm), 1)


def chance(p: float) -> int:
    """A chance as ``{:chance}`` says it: whole percent; 0 under one, 100 from 99 and a half.

    Rounded down, so that one below a mark of 80% is never read as 80%.
    """
    return 100 if p >= 0.995 else math.floor(100 * float(p) + 1e-9)


def say(sentence: Sentence, *, today: date | None = None, unit: str = "mm") -> str:
    """A sentence in the language that is active.

    Parameters
    ----------
    today : the reader's day, by which days are said; None for the house's own.
    unit : of lengths: "mm", "cm" or "in".
    """
    return _Saying(today, unit).say(sentence)


class _Saying:
    def __init__(self, today: date | None, unit: str) -> None:
        self._today = today
        self._unit = unit if unit in UNITS else "mm"
        self._mark = _DECIMAL.get((get_language() or "").partition("-")[0], ".")

    def say(self, sentence: object) -> str:
        if isinstance(sentence, str):
            return gettext(sentence) if sentence else ""
        if not (isinstance(sentence, Sequence) and len(sentence) == 2 and isinstance(sentence[1], Mapping)):
            return str(sentence)
        text, values = sentence
        return self._fill(gettext(str(text)), values)

    def _fill(self, text: str, values: Mapping[str, Any]) -> str:
        def put(found: re.Match[str]) -> str:
            name, how = found[1], found[2] or ""
            return self._put(values[name], how) if name in values else found[0]

        return _MARKER.sub(put, text)

    def _put(self, value: Any, how: str) -> str:
        if "|" in how:
            one, more = how.split("|", 1)
            return one if value == 1 else more
        teller = _HOW.get(how)
        if teller is not None:
            return teller(self, value)
        return self._number(float(value), int(how), fixed=True) if how.isdecimal() else str(value)

    def plain(self, value: Any) -> str:
        if isinstance(value, bool) or not isinstance(value, int | float):
            return str(value)
        return self._number(float(value), 4)

    def _number(self, value: float, decimals: int, *, fixed: bool = False) -> str:
        text = f"{value:.{decimals}f}"
        if decimals and not fixed:
            text = text.rstrip("0").rstrip(".")
        return text.replace(".", self._mark)

    def percent(self, value: Any) -> str:
        return self._fill(gettext(PERCENT), {"number": value})

    def chance(self, value: Any) -> str:
        text = self.percent(min(99, max(1, value)))
        return f"<{text}" if value < 1 else f">{text}" if value > 99 else text

    def on(self, value: str) -> str:
        day = date.fromisoformat(value)
        return self._day(DAY if day.year == self.today.year else DAY_OF_YEAR, day)

    def since(self, value: str) -> str:
        far = (self.today - date.fromisoformat(value)).days >= 365
        return self.month(value) if far else self.on(value)

    def month(self, value: str) -> str:
        return self._day(MONTH, date.fromisoformat(value))

    def short(self, value: str) -> str:
        return self._day(DAY_OF_YEAR, date.fromisoformat(value), SHORT)

    @property
    def today(self) -> date:
        if self._today is None:
            self._today = timezone.localdate()
        return self._today

    def _day(self, pattern: str, day: date, names: Sequence[str] = MONTHS) -> str:
        values = {"day": str(day.day), "month": gettext(names[day.month - 1]), "year": str(day.year)}
        return self._fill(gettext(pattern), values)

    def length(self, value: Any, *, whole: bool = False, fixed: bool = False, bare: bool = False) -> str:
        mm, usual, coarse = UNITS[self._unit]
        text = self._number(value / mm, coarse if whole else usual, fixed=fixed)
        return text if bare else self._fill(gettext(SIGN[self._unit]), {"number": text})

    def capital(self, value: Sentence) -> str:
        text = self.say(value)
        return text[:1].upper() + text[1:]

    def list(self, value: Sequence[Sentence]) -> str:
        said = [self.say(one) for one in value]
        if len(said) < 2:
            return "".join(said)
        return self._fill(gettext(AND), {"before": ", ".join(said[:-1]), "last": said[-1]})


_HOW: Mapping[str, Callable[[_Saying, Any], str]] = {
    "": _Saying.plain,
    "percent": _Saying.percent,
    "chance": _Saying.chance,
    "on": _Saying.on,
    "since": _Saying.since,
    "month": _Saying.month,
    "short": _Saying.short,
    "mm": _Saying.length,
    "mm0": lambda saying, value: saying.length(value, whole=True),
    "mm1": lambda saying, value: saying.length(value, fixed=True),
    "bare0": lambda saying, value: saying.length(value, whole=True, bare=True),
    "word": _Saying.say,
    "capital": _Saying.capital,
    "list": _Saying.list,
}
