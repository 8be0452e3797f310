"""Pages for what went wrong: what happened, and what to do next. They leak nothing."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.views.decorators.csrf import requires_csrf_token

from frontend.who import ACTION_WORDS, NotAllowed
from nursery.models import Role
from nursery.people import Action
from nursery.reports.house import owners


@requires_csrf_token
def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "shed/errors/400.html", status=400)


@requires_csrf_token
def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    action = exception.action if isinstance(exception, NotAllowed) else Action.READ
    roles = [Role(r).label for r in exception.roles] if isinstance(exception, NotAllowed) else []
    facts = {"what": ACTION_WORDS[action], "roles": roles, "owners": owners()}
    return render(request, "shed/errors/403.html", facts, status=403)


@requires_csrf_token
def stale_form(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form without its secret: mostly one that lay open for weeks, or cookies switched off."""
    return render(request, "shed/errors/stale.html", status=403)


@requires_csrf_token
def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "shed/errors/404.html", status=404)


def broken(request: HttpRequest) -> HttpResponse:
    """Uses no database and no context: whatever broke may be either."""
    return HttpResponse(render_to_string("shed/errors/500.html"), status=500)
