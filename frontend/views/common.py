"""Small things that every view needs."""

from django.http import HttpRequest


def page_number(request: HttpRequest, name: str = "page") -> int:
    """The page asked for; 1 for anything that is no number."""
    text = request.GET.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 9 else 1
