"""Trade a one-time code for a session of the phone's own."""

from django.conf import settings
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.authentication import give_cookie
from api.base import PublicView, epoch, server_time
from api.fields import worded
from api.shapes import OWN_HEADER, PairAnswer, PairBody, answers
from nursery import people


class Pair(PublicView):
    """Pair this phone by a code from the shed: single use, ten minutes, ten guesses."""

    @extend_schema(
        operation_id="pair",
        parameters=[OWN_HEADER],
        request=PairBody,
        responses=answers(PairAnswer, 400, 403, 413, 415, 426, 429, 503),
        auth=[],
    )
    def post(self, request: Request) -> Response:
        code = worded(request.data, "code", most=20)
        name = worded(request.data, "name", most=60, needed=False)
        proxied = settings.SECURE_PROXY_SSL_HEADER is not None
        device, token = people.pair(code, who=people.address(request.META, proxied=proxied), name=name)
        response = Response(
            {
                "device": str(device.id),
                "name": device.name,
                "role": device.role,
                "server_time": server_time(),
                "epoch": epoch(),
            }
        )
        give_cookie(response, token)
        return response
