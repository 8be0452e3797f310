"""A phone signs each request with its cookie."""

from typing import cast

from django.conf import settings
from django.utils import timezone
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request
from rest_framework.response import Response

from nursery.models import Device
from nursery.people import device_for

COOKIE = "misho_phone"
#: The longest that browsers keep a cookie; renewed while the phone is in use.
COOKIE_AGE_S = 400 * 24 * 60 * 60
_RENEW_AFTER_S = 24 * 60 * 60


class PhoneAuthentication(BaseAuthentication):
    """401 for a stranger and for a revoked phone: it has to pair again. 403 is for what its role forbids."""

    def authenticate(self, request: Request) -> tuple[Device, str] | None:
        """The phone and its token; None without a cookie."""
        token = request.COOKIES.get(COOKIE)
        if not token:
            return None
        device = device_for(token)
        if device is None:
            raise AuthenticationFailed()
        return device, token

    def authenticate_header(self, request: Request) -> str:
        """Its presence makes DRF answer 401."""
        return 'Misho realm="phone"'


def phone_of(request: Request) -> Device:
    """The phone that a permitted request comes from."""
    return cast(Device, request.user)


def give_cookie(response: Response, token: str) -> None:
    """Hand the phone its token: out of the reach of scripts, sent to the API only."""
    response.set_cookie(
        COOKIE,
        token,
        max_age=COOKIE_AGE_S,
        path="/api/",
        secure=settings.SECURE,
        httponly=True,
        samesite="Lax",
    )


def renew_cookie(request: Request, response: Response) -> None:
    """Lengthen the cookie's life once a day.

    Not at each answer: one on its way while the phone pairs anew would put the old token back.
    """
    device = phone_of(request)
    seen = device.seen_at
    if request.auth and (seen is None or (timezone.now() - seen).total_seconds() > _RENEW_AFTER_S):
        give_cookie(response, str(request.auth))
