"""One shape for every error: ``{"error": {"code", "message", "field", "mend"}}``."""

import logging
from collections.abc import Mapping
from typing import Any

from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.core.signals import got_request_exception
from django.db import OperationalError
from django.http import Http404, UnreadablePostError
from rest_framework import exceptions
from rest_framework.response import Response

from nursery.errors import BadValue, MishoError, Refused
from nursery.people import SlowDown
from nursery.photos import IdInUse, NoRoom, Restoring, TooMany
from nursery.sentences import later, said

log = logging.getLogger(__name__)

#: Seconds after which a phone may try a busy server again.
BUSY_WAIT_S = 2


class TooLarge(MishoError):
    """More than one request may carry; a phone halves its batch."""

    code = "too_large"


class EpochChanged(MishoError):
    """The feed that a cursor belongs to is no more."""

    code = "epoch_changed"


class UpdateApp(MishoError):
    """The bench app on the phone is too old for this server."""

    code = "update_app"


class WrongForm(MishoError):
    """A body in a form that is not read here."""

    code = "wrong_form"


_STATUS: dict[type[MishoError], int] = {
    BadValue: 400,
    Refused: 403,
    EpochChanged: 409,
    TooLarge: 413,
    WrongForm: 415,
    UpdateApp: 426,
    SlowDown: 429,
    TooMany: 429,
    IdInUse: 409,
    NoRoom: 503,
    Restoring: 503,
}


def answer(exc: Exception, context: Mapping[str, Any]) -> Response:
    """What DRF calls with whatever a view raised; always an answer in our shape.

    A fault of our own is logged and told as Django would (the same signal), so that tests still see it.
    """
    status, error, headers = _told(exc)
    if status == 500:
        log.error("A request failed", exc_info=exc)
        request = context.get("request")
        got_request_exception.send(sender=None, request=getattr(request, "_request", None))
    return Response({"error": error}, status=status, headers=headers)


def _told(exc: Exception) -> tuple[int, dict[str, str], dict[str, str]]:
    """Status, error and headers."""
    if isinstance(exc, MishoError):
        headers = {"Retry-After": str(exc.retry_after)} if isinstance(exc, SlowDown | TooMany) else {}
        if isinstance(exc, Restoring):
            headers = {"Retry-After": str(BUSY_WAIT_S)}
        status = next((_STATUS[kind] for kind in type(exc).__mro__ if kind in _STATUS), 400)
        return status, _error(exc.code, exc.message, exc.field, exc.mend), headers
    if isinstance(exc, OperationalError):
        # Locked, full, or PostgreSQL away: nothing was acknowledged, so the phone simply comes again.
        log.warning("The database is busy: %s", exc)
        error = _error(
            "busy", said("The shed's database is busy."), mend=said("The phone tries again by itself.")
        )
        return 503, error, {"Retry-After": str(BUSY_WAIT_S)}
    if isinstance(exc, exceptions.APIException):
        return _told_by_drf(exc)
    if isinstance(exc, Http404):
        return 404, NOT_FOUND, {}
    if isinstance(exc, PermissionDenied):
        return 403, _error("forbidden", said("This is not allowed.")), {}
    if isinstance(exc, RequestDataTooBig):
        error = _error(
            "too_large", said("The request is too large."), mend=said("Send fewer records at once.")
        )
        return 413, error, {}
    if isinstance(exc, UnreadablePostError):
        return 400, _error("bad_request", said("The request broke off."), mend=said("Send it again.")), {}
    error = _error(
        "server_fault", said("The shed failed at this."), mend=said("Look at the server's own messages.")
    )
    return 500, error, {}


def _told_by_drf(exc: exceptions.APIException) -> tuple[int, dict[str, str], dict[str, str]]:
    headers: dict[str, str] = {}
    if isinstance(exc, exceptions.NotAuthenticated | exceptions.AuthenticationFailed):
        headers = {"WWW-Authenticate": getattr(exc, "auth_header", 'Misho realm="phone"')}
        return 401, NOT_PAIRED, headers
    if isinstance(exc, exceptions.NotFound):
        return 404, NOT_FOUND, headers
    if isinstance(exc, exceptions.Throttled):
        headers = {"Retry-After": str(int(getattr(exc, "wait", None) or 60))}
        error = _error("slow_down", said("Too many requests."), mend=said("Wait, then try again."))
        return 429, error, headers
    code, mend = _WORDS_OF_DRF.get(exc.status_code, ("bad_request", "Look at the address and the body."))
    return exc.status_code, _error(code, str(exc.detail), mend=mend), headers


def _error(code: str, message: str, field: str = "", mend: str = "") -> dict[str, str]:
    return {"code": code, "message": message, "field": field, "mend": mend}


NOT_PAIRED = _error(
    "not_paired",
    later("This phone is not paired with the shed."),
    mend=later("Pair it again with a code from the shed; what it holds stays on it."),
)
NOT_FOUND = _error(
    "not_found",
    later("There is nothing at this address."),
    mend=later("/api/schema lists the addresses."),
)

_WORDS_OF_DRF = {
    403: ("forbidden", "Ask the owner."),
    405: ("wrong_method", "/api/schema tells how each address is asked."),
    406: ("wrong_form", "Answers are application/json: accept that."),
    415: ("wrong_form", "Send application/json."),
}
