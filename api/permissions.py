"""Who may ask what: a paired phone, with our own header, and a role that allows it."""

from typing import Any

from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request

from api.authentication import phone_of
from api.errors import UpdateApp
from nursery.errors import Refused
from nursery.people import Action, may
from nursery.sentences import said

HEADER = "X-Misho"
#: The oldest way of speaking that is still understood here; the app sends its own in the header.
OLDEST = 1


def spoken(request: Request) -> int:
    """The way of speaking of the app that asks; the oldest where it does not say. After ``OwnHeader``."""
    return int(request.headers.get(HEADER) or OLDEST)


class Paired(BasePermission):
    """False makes DRF answer 401, since the phone's authentication names a scheme."""

    def has_permission(self, request: Request, view: Any) -> bool:
        return request.user is not None and bool(request.user.is_authenticated)


class OwnHeader(BasePermission):
    """An unsafe request must carry ``X-Misho: 1``, which no form on another site can send."""

    def has_permission(self, request: Request, view: Any) -> bool:
        value = request.headers.get(HEADER)
        if value is None and request.method in SAFE_METHODS:
            return True
        if value is None or not (value.isascii() and value.isdecimal() and len(value) < 5):
            raise Refused(
                "This request does not come from the bench app.",
                field=HEADER,
                mend="Send the header X-Misho: 1.",
            )
        if int(value) < OLDEST:
            raise UpdateApp(
                said("The bench app on this phone is too old for the shed."),
                field=HEADER,
                mend=said("Close the app and open it again near the shed; what it holds stays on it."),
            )
        return True


class RoleMay(BasePermission):
    """The phone's role must allow what the view ``needs``."""

    def has_permission(self, request: Request, view: Any) -> bool:
        needs: Action = view.needs
        role = phone_of(request).role
        if not may(role, needs):
            raise Refused(
                f"A {role}'s phone may not {needs.replace('_', ' ')}.",
                mend=said("Ask the owner to pair this phone with another role."),
            )
        return True
