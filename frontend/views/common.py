"""Small things that every view needs."""

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec

from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponseBase]


def posted(page: str) -> "Callable[[View[P]], View[P]]":
    """A view that only changes things: whoever opens its address, or reloads, is led to ``page``.

    Nothing changes by a GET. Goes outermost, so that a stranger too is sent on from the page itself.
    """

    def wrap(view: "View[P]") -> "View[P]":
        @wraps(view)
        @require_http_methods(["GET", "HEAD", "POST"])
        def led(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
            return view(request, *args, **kwargs) if request.method == "POST" else redirect(page)

        return led

    return wrap


def page_number(request: HttpRequest, name: str = "page") -> int:
    """The page asked for; 1 for anything that is no number."""
    text = request.GET.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 9 else 1
