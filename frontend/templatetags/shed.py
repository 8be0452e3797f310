"""How numbers, days and ages are written on the shed's pages."""

from datetime import UTC, date, datetime, timedelta
from uuid import UUID

from django import template
from django.utils import timezone

from nursery.reports import settled

register = template.Library()


@register.filter
def pct(value: float | None) -> str:
    """0.914 as "91%"; never "100%" or "0%", for nothing here is certain; a dash for no number."""
    if value is None:
        return "–"
    if value >= 0.995:
        return ">99%"
    if value < 0.005:
        return "<1%"
    return f"{int(100 * value + 0.5)}%"


@register.filter
def percent(value: float | None) -> str:
    """0.914 as "91%", 1.2 as "120%": a share that is measured, not a chance."""
    return "–" if value is None else f"{100 * value:.0f}%"


@register.filter
def bar(value: float | None) -> str:
    """A share 0-1 as a length of 0-100 for a drawing."""
    return f"{100 * min(1.0, max(0.0, value or 0.0)):.1f}"


@register.filter
def mm(value: float | None) -> str:
    """Millimetres with a unit, without needless noughts; large ones in centimetres as growers say them."""
    if value is None:
        return "–"
    return f"{value:g}\u00a0mm" if value < 1000 else f"{value / 10:g}\u00a0cm"


@register.filter
def day(value: date | datetime | None) -> str:
    """A day as "1 Jun 2026"."""
    if value is None:
        return "–"
    if isinstance(value, datetime) and timezone.is_aware(value):
        value = timezone.localtime(value)
    return f"{value.day} {value:%b %Y}"


@register.filter
def clock(value: datetime | None) -> str:
    """A moment as "1 Jun 2026, 08:15"."""
    if value is None:
        return "–"
    if timezone.is_aware(value):
        value = timezone.localtime(value)
    return f"{value.day} {value:%b %Y, %H:%M}"


@register.filter
def ago(value: date | datetime | None) -> str:
    """How long ago, in the largest unit that says enough: "today", "3 days ago", "5 months ago"."""
    if value is None:
        return "never"
    if isinstance(value, datetime):
        value = timezone.localtime(value).date() if timezone.is_aware(value) else value.date()
    return away((timezone.localdate() - value).days)


def away(days: int) -> str:
    """Days as words; negative days lie ahead."""
    if days in (0, 1, -1):
        return {0: "today", 1: "yesterday", -1: "tomorrow"}[days]
    size = abs(days)
    if size < 60:
        said = f"{size} days"
    elif size < 730:
        said = f"{round(size / 30.44)} months"
    else:
        said = f"{size / 365.25:.0f} years"
    return f"{said} ago" if days > 0 else f"in {said}"


@register.filter
def since(value: datetime | None) -> str:
    """A moment's age in minutes, hours or days."""
    if value is None:
        return "never"
    gone = datetime.now(UTC) - value
    if gone < timedelta(minutes=2):
        return "just now"
    if gone < timedelta(hours=2):
        return f"{gone // timedelta(minutes=1)} minutes ago"
    if gone < timedelta(days=2):
        return f"{gone // timedelta(hours=1)} hours ago"
    return away(gone.days)


@register.filter
def many(count: int, words: str) -> str:
    """``{{ 2|many:"tree,trees" }}`` is "2 trees"; thousands are set apart by a thin space."""
    one, more = words.split(",")
    return f"{spaced(count)} {one if count == 1 else more}"


@register.filter
def sentence(text: str) -> str:
    """A reason as a sentence: a capital, and one full stop."""
    text = text.strip()
    return f"{text[:1].upper()}{text[1:]}{'' if not text or text[-1] in '.!?' else '.'}"


@register.filter
def unended(text: str) -> str:
    """A clause to which a full stop can be put."""
    return text.strip().rstrip(".")


@register.filter
def spaced(count: int) -> str:
    """12345 as "12 345"."""
    return f"{count:,}".replace(",", "\u202f")


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
