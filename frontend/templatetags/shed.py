"""How numbers, days and ages are written on the shed's pages."""

from datetime import UTC, date, datetime, timedelta
from uuid import UUID

from django import template
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import get_language, gettext, ngettext

from frontend.numbers import plain
from nursery import sentences
from nursery.reports import settled
from nursery.sentences import Sentence, chance

register = template.Library()


class Spaced(int):
    """A number with its thousands set apart from five digits on, which still counts as one in a plural."""

    def __str__(self) -> str:
        # Four digits stand together in sentences and on the phone, too.
        return format(int(self), ",").replace(",", "\u202f") if abs(self) >= 10_000 else str(int(self))

    def __format__(self, spec: str) -> str:
        return str(self) if not spec else super().__format__(spec)


def _percent(number: str) -> str:
    return gettext("%(number)s%%") % {"number": number}


@register.filter
def pct(value: float | None) -> str:
    """0.914 as "91%"; never "100%" or "0%", for nothing here is certain; a dash for no number."""
    if value is None:
        return "–"
    whole = chance(value)
    return _percent("<1" if whole < 1 else ">99" if whole > 99 else str(whole))


@register.filter
def percent(value: float | None) -> str:
    """0.914 as "91%", 1.2 as "120%": a share that is measured, not a chance."""
    return "–" if value is None else _percent(f"{100 * value:.0f}")


@register.filter
def bar(value: float | None) -> str:
    """A share 0-1 as a length of 0-100 for a drawing."""
    return f"{100 * min(1.0, max(0.0, value or 0.0)):.1f}"


@register.filter
def mm(value: float | None) -> str:
    """Millimetres with a unit, without needless noughts; large ones in centimetres as growers say them."""
    if value is None:
        return "–"
    return f"{plain(value)}\u00a0mm" if value < 1000 else f"{plain(value / 10)}\u00a0cm"


@register.filter
def day(value: date | datetime | None) -> str:
    """A day as "1 Jun 2026", in German "1. Juni 2026"."""
    if value is None:
        return "–"
    if isinstance(value, datetime) and timezone.is_aware(value):
        value = timezone.localtime(value)
    return date_format(value, "DATE_FORMAT")


@register.filter
def clock(value: datetime | None) -> str:
    """A moment as "1 Jun 2026, 08:15"."""
    if value is None:
        return "–"
    if timezone.is_aware(value):
        value = timezone.localtime(value)
    return date_format(value, "DATETIME_FORMAT")


@register.filter
def ago(value: date | datetime | None) -> str:
    """How long ago, in the largest unit that says enough: "today", "3 days ago", "5 months ago"."""
    if value is None:
        return gettext("never")
    if isinstance(value, datetime):
        value = timezone.localtime(value).date() if timezone.is_aware(value) else value.date()
    return away((timezone.localdate() - value).days)


def away(days: int) -> str:
    """Days as words; negative days lie ahead."""
    if days in (0, 1, -1):
        return {0: gettext("today"), 1: gettext("yesterday"), -1: gettext("tomorrow")}[days]
    size = abs(days)
    past = days > 0
    # Whole sentences, and not a number put before "ago": in other languages the words about it bend.
    if size < 60:
        said = ngettext("%(n)s day ago", "%(n)s days ago", size) if past else _in_days(size)
        return said % {"n": size}
    if size < 730:
        n = round(size / 30.44)
        said = ngettext("%(n)s month ago", "%(n)s months ago", n) if past else _in_months(n)
        return said % {"n": n}
    n = round(size / 365.25)
    said = ngettext("%(n)s year ago", "%(n)s years ago", n) if past else _in_years(n)
    return said % {"n": n}


def _in_days(n: int) -> str:
    return ngettext("in %(n)s day", "in %(n)s days", n)


def _in_months(n: int) -> str:
    return ngettext("in %(n)s month", "in %(n)s months", n)


def _in_years(n: int) -> str:
    return ngettext("in %(n)s year", "in %(n)s years", n)


@register.filter
def since(value: datetime | None) -> str:
    """A moment's age in minutes, hours or days."""
    if value is None:
        return gettext("never")
    return aged(datetime.now(UTC) - value)


def aged(gone: timedelta) -> str:
    """An age in minutes, hours or days."""
    if gone < timedelta(minutes=2):
        return gettext("just now")
    if gone < timedelta(hours=2):
        n = gone // timedelta(minutes=1)
        return ngettext("%(n)s minute ago", "%(n)s minutes ago", n) % {"n": n}
    if gone < timedelta(days=2):
        n = gone // timedelta(hours=1)
        return ngettext("%(n)s hour ago", "%(n)s hours ago", n) % {"n": n}
    return away(gone.days)


@register.filter
def sentence(reason: Sentence) -> str:
    """A reason as a sentence: a capital, and one full stop."""
    # A text that was put together here is in the reader's language already.
    text = (sentences.say(reason) if isinstance(reason, list) else str(reason)).strip()
    return f"{text[:1].upper()}{text[1:]}{'' if not text or text[-1] in '.!?' else '.'}"


@register.filter
def unended(text: str) -> str:
    """A clause to which a full stop can be put."""
    return text.strip().rstrip(".")


@register.filter
def spaced(count: int) -> Spaced:
    """12345 as "12 345"."""
    return Spaced(count)


@register.filter
def inner(title: str) -> str:
    """A title within a sentence: English begins it small, German keeps its nouns' capitals."""
    title = str(title)
    return title.lower() if (get_language() or "en").startswith("en") else title


@register.inclusion_tag("shed/tag.html")
def tag(id: UUID, text: str) -> dict[str, object]:
    """A tree's tag, the label that leads to its page."""
    return {"id": id, "text": text}


@register.simple_tag
def unsettled(of: str) -> str:
    """What does not settle of the nursery's own "wire" or "trunk"; "" where all is well. Two queries."""
    return settled.unsettled().get(of, "")


@register.inclusion_tag("shed/bar.html")
def measure(value: float | None, mark: float | None = None) -> dict[str, object]:
    """A share as a bar, with a mark across it where it is enough."""
    return {"value": value, "mark": mark}


@register.inclusion_tag("shed/pages.html", takes_context=True)
def pages(context: template.Context, page: object) -> dict[str, object]:
    """Which rows these are, of how many, and the way to the others."""
    request = context["request"]
    kept = request.GET.copy()
    kept.pop("page", None)
    return {"page": page, "kept": kept.urlencode()}
