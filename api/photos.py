"""Pictures from a phone, piece by piece, and to it."""

from collections.abc import Mapping
from typing import IO, Any
from uuid import UUID

from django.http import Http404, HttpResponse
from django.utils.cache import patch_cache_control
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.parsers import BaseParser
from rest_framework.request import Request
from rest_framework.response import Response

from api.authentication import phone_of
from api.base import PhoneView, epoch, server_time
from api.errors import TooLarge
from api.fields import whole
from api.shapes import OWN_HEADER, PhotoState, answers, answers_with
from nursery import photos
from nursery.errors import BadValue
from nursery.models import PhotoFile
from nursery.people import Action
from nursery.sentences import said

LONGEST = 100_000_000


class PieceParser(BaseParser):
    """``application/octet-stream``, as it is, within the longest piece."""

    media_type = "application/octet-stream"

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        piece: bytes = stream.read(photos.CHUNK_MOST + 1)
        if len(piece) > photos.CHUNK_MOST:
            raise TooLarge(
                said("This piece passes {n} KB.", n=photos.CHUNK_MOST // 1024),
                mend=said("Send it in smaller pieces."),
            )
        return piece


class Photo(PhoneView):
    """One picture under the id that its record names."""

    http_method_names = ["get", "head", "put"]
    parser_classes = [PieceParser]

    @property
    def needs(self) -> Action:  # type: ignore[override]
        return Action.RECORD if self.request.method == "PUT" else Action.READ

    @extend_schema(
        operation_id="send_photo",
        parameters=[
            OWN_HEADER,
            OpenApiParameter("offset", {"type": "integer", "minimum": 0, "maximum": LONGEST}, required=True),
            OpenApiParameter("bytes", {"type": "integer", "minimum": 1, "maximum": LONGEST}, required=True),
            OpenApiParameter(
                "sha256", {"type": "string", "pattern": "^[0-9a-f]{64}$"}, required=True, description="hex"
            ),
        ],
        request={"application/octet-stream": OpenApiTypes.BINARY},
        responses=answers(PhotoState, 400, 401, 403, 404, 409, 413, 415, 426, 429, 503),
    )
    def put(self, request: Request, id: UUID) -> Response:
        """Add the piece that begins at ``offset``; an empty body asks how much is here.

        The answer's ``have`` is where the next piece must begin. ``kept`` means that the whole file came with
        this hash and size, and that its cleaned picture is on the shed's disk for good.
        """
        asked = request.query_params
        size = whole(_given(asked.get("bytes"), "bytes"), "bytes", default=0, most=LONGEST)
        # Of before: had a restore come in between, the phone would think it among the new site's.
        epoch_before = epoch()
        told = photos.receive(
            id,
            request.data if isinstance(request.data, bytes) else b"",
            sha256=_hash(asked.get("sha256")),
            size=size,
            offset=_offset(asked.get("offset")),
            device=phone_of(request).id,
        )
        return Response(
            {
                "photo": str(id),
                "state": told.state,
                "have": told.have,
                "reason": told.reason,
                "message": told.message,
                "mend": told.mend,
                "server_time": server_time(),
                "epoch": epoch_before,
            }
        )

    @extend_schema(
        operation_id="photo",
        parameters=[
            OpenApiParameter(
                "small", {"type": "string", "enum": ["1"]}, description="the small one, for lists"
            )
        ],
        responses=answers_with({(200, "image/jpeg"): OpenApiTypes.BINARY}, 401, 404, 426, 503),
    )
    def get(self, request: Request, id: UUID) -> HttpResponse:
        """The cleaned picture, or with ``?small=1`` the small one; kept by no cache on the way."""
        row = PhotoFile.objects.filter(pk=id, reason="").first()
        if row is None:
            raise Http404
        try:
            with photos.open_kept(row, small=request.query_params.get("small") == "1") as file:
                answer = HttpResponse(file.read(), content_type="image/jpeg")
        except FileNotFoundError:
            raise Http404 from None
        patch_cache_control(answer, private=True)
        return answer


def _given(text: str | None, name: str) -> str:
    if not text:
        raise BadValue(
            said("{name} is missing.", name=name),
            field=name,
            mend=said("Send {name} in the address.", name=name),
        )
    return text


def _offset(text: str | None) -> int:
    given = _given(text, "offset")
    if given.isascii() and given.isdecimal() and len(given) < 10 and int(given) <= LONGEST:
        return int(given)
    raise BadValue(
        said("offset is not a whole number from 0 to {most}.", most=LONGEST),
        field="offset",
        mend=said("Send where the piece begins."),
    )


def _hash(text: str | None) -> str:
    given = _given(text, "sha256")
    if len(given) != 64 or set(given) - set("0123456789abcdef"):
        raise BadValue(
            said("sha256 is no hash."), field="sha256", mend=said("Send 64 hex digits, in lower case.")
        )
    return given
