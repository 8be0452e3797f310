"""Read a phone's body: JSON, gzipped or not, within bounds."""

import json
import math
import zlib
from collections.abc import Mapping
from typing import IO, Any

from django.conf import settings
from rest_framework.parsers import BaseParser
from rest_framework.request import Request

from api.errors import TooLarge, WrongForm
from nursery.errors import BadValue
from nursery.sentences import said


class PhoneParser(BaseParser):
    """``application/json``, perhaps with ``Content-Encoding: gzip``.

    Raises TooLarge (413) when the body, or what it inflates to, passes DATA_UPLOAD_MAX_MEMORY_SIZE;
    WrongForm (415) for another encoding; BadValue (400) when it is not JSON.
    """

    media_type = "application/json"

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        raw = _bounded(stream)
        request: Request | None = (parser_context or {}).get("request")
        encoding = "" if request is None else request.headers.get("Content-Encoding", "").strip().lower()
        if encoding == "gzip":
            raw = inflate(raw)
        elif encoding not in {"", "identity"}:
            raise WrongForm(
                said("This encoding is not read here."), mend=said("Send plain JSON, or gzip it.")
            )
        return decode(raw)


def inflate(packed: bytes) -> bytes:
    """Unpack one whole gzip member; never makes more than the bound, whatever the packed bytes promise."""
    engine = zlib.decompressobj(wbits=31)
    try:
        raw = engine.decompress(packed, _most() + 1)
    except zlib.error:
        raise _broken() from None
    if len(raw) > _most():
        raise _too_large()
    if not engine.eof or engine.unused_data:
        raise _broken()
    return raw


def decode(raw: bytes) -> Any:
    """Strict JSON: no NaN, no number beyond a double, no depth that exhausts the stack."""
    try:
        return json.loads(raw.decode("utf-8"), parse_constant=_no_constant, parse_float=_finite)
    except (ValueError, RecursionError) as error:
        detail = error.msg if isinstance(error, json.JSONDecodeError) else said("it cannot be read")
        raise BadValue(
            said("The body is not JSON: {detail}.", detail=detail),
            code="bad_request",
            mend=said("Send one JSON object in UTF-8."),
        ) from None


def _broken() -> BadValue:
    return BadValue(said("The body is not whole gzip."), code="bad_request", mend=said("Send it again."))


def _bounded(stream: IO[Any]) -> bytes:
    raw: bytes = stream.read(_most() + 1)
    if len(raw) > _most():
        raise _too_large()
    return raw


def _most() -> int:
    most: int = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
    return most


def _too_large() -> TooLarge:
    return TooLarge(
        said("The body passes {n} KB.", n=_most() // 1024), mend=said("Send fewer records at once.")
    )


def _no_constant(word: str) -> float:
    raise ValueError(word)


def _finite(digits: str) -> float:
    value = float(digits)
    if not math.isfinite(value):
        raise ValueError(digits)
    return value
