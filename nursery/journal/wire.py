"""The wire form of a record: parse it, refuse a malformed one by its field, hash its content."""

import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any, NamedTuple
from uuid import UUID

from nursery.errors import BadValue
from nursery.sentences import said

from .fields import as_uuid

HLC = re.compile(r"\d{15}-[0-9a-f]{4}", re.ASCII)
_KNOWN = {"id", "device_seq", "kind", "v", "tree", "run", "observed_at", "utc_offset_min", "hlc", "body"}
_LAST_MS = 253_402_300_799_000  # the end of year 9999: beyond it a stamp is no time
_canonical_json = json.JSONEncoder(
    sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
).encode


class Wire(NamedTuple):
    """A record as it arrived, its parts typed. ``body`` is kept whole, whatever is in it."""

    id: UUID
    device_seq: int | None
    kind: str
    v: int
    tree: UUID | None
    run: UUID | None
    observed_at: datetime
    utc_offset_min: int
    hlc: str
    body: Any
    #: Entries that this version does not know, or None.
    more: dict[str, Any] | None
    content_hash: str


def parse_all(raws: Sequence[object]) -> list[Wire]:
    """Parse records as they came.

    Raises
    ------
    BadValue
        where one is malformed, with the field as ``records[3].hlc``. A well-behaved phone never makes one.
    """
    wires = []
    for at, raw in enumerate(raws):
        try:
            wires.append(parse(raw))
        except BadValue as bad:
            field = f"records[{at}].{bad.field}" if bad.field else f"records[{at}]"
            raise BadValue(bad.message, field=field, mend=bad.mend) from None
    return wires


def parse(raw: object) -> Wire:
    """Parse one record. Raises BadValue with the field's name."""
    if not isinstance(raw, dict):
        raise BadValue(said("the record is not an object"), mend=said("Send each record as a JSON object."))
    raw, canonical = _canonical(raw)
    kind = raw.get("kind")
    if not isinstance(kind, str) or not 1 <= len(kind) <= 40:
        raise _bad("kind", said("the kind is not a word of 1 to 40 letters"))
    if "body" not in raw:
        raise _bad("body", said("the body is missing"))
    id = as_uuid(raw.get("id"))
    if id is None:
        raise _bad("id", said("the id is not a UUID"))
    hlc = raw.get("hlc")
    if not isinstance(hlc, str) or not HLC.fullmatch(hlc) or int(hlc[:15]) > _LAST_MS:
        raise _bad("hlc", said("the stamp is not 15 digits, a hyphen and 4 hex digits"))
    return Wire(
        id=id,
        device_seq=_whole(raw, "device_seq", None, 0, 2**62),
        kind=kind,
        v=_whole(raw, "v", 1, 1, 32767) or 1,
        tree=_link(raw, "tree"),
        run=_link(raw, "run"),
        observed_at=_moment(raw.get("observed_at")),
        utc_offset_min=_whole(raw, "utc_offset_min", 0, -1440, 1440) or 0,
        hlc=hlc,
        body=raw["body"],
        more=None if raw.keys() <= _KNOWN else {key: raw[key] for key in raw.keys() - _KNOWN},
        content_hash=hashlib.sha256(canonical).hexdigest(),
    )


def _canonical(raw: dict[str, Any]) -> tuple[dict[str, Any], bytes]:
    """The record and its canonical JSON without ``device_seq``: sorted keys, no spaces, UTF-8.

    Half a surrogate pair (a cut emoji) and the NUL character fit into no database; they become U+FFFD rather
    than cost the record.
    """
    try:
        shown = _canonical_json(_content(raw))
        if "\\u0000" not in shown:
            return raw, shown.encode()
    except (ValueError, TypeError, RecursionError) as wrong:
        if not isinstance(wrong, UnicodeEncodeError):
            raise BadValue(
                said("the record is not plain JSON"), mend=said("Send numbers, text, lists, objects.")
            ) from None
    cleaned: dict[str, Any] = _clean(raw)
    return cleaned, _canonical_json(_content(cleaned)).encode()


def _content(raw: dict[str, Any]) -> dict[str, Any]:
    content = raw.copy()
    content.pop("device_seq", None)
    return content


def _clean(value: Any) -> Any:
    if isinstance(value, str):
        return value.encode("utf-16", "surrogatepass").decode("utf-16", "replace").replace("\0", "\ufffd")
    if isinstance(value, list):
        return [_clean(item) for item in value]
    if isinstance(value, dict):
        return {_clean(key): _clean(item) for key, item in value.items()}
    return value


def _link(raw: Mapping[str, Any], name: str) -> UUID | None:
    value = raw.get(name)
    if value is None:
        return None
    found = as_uuid(value)
    if found is None:
        raise _bad(name, said("{field} is not a UUID", field=name))
    return found


def _whole(raw: Mapping[str, Any], name: str, default: int | None, low: int, high: int) -> int | None:
    value = raw.get(name, default)
    if value is None:
        return default
    if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
        told = said("{field} is not a whole number from {low} to {high}", field=name, low=low, high=high)
        raise _bad(name, told)
    return value


def _moment(value: object) -> datetime:
    if isinstance(value, str) and len(value) <= 40:
        try:
            moment = datetime.fromisoformat(value)
            if moment.tzinfo is not None:
                moment = moment.astimezone(UTC)
                if 1800 <= moment.year <= 9998:
                    return moment
        except (ValueError, OverflowError):
            pass
    raise _bad("observed_at", said("observed_at is not a time with a zone, such as 2026-06-01T08:15:00.000Z"))


def _bad(field: str, message: str) -> BadValue:
    return BadValue(message, field=field, mend=said("Update the app on the phone, then sync again."))
