"""Make records at the shed: from forms, lists and the demo, in the same wire form that phones send."""

import sys
import threading
import time
import uuid
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from nursery.errors import BadValue
from nursery.sentences import say

from .fields import as_uuid
from .kinds import CORRECTION, KINDS, check_body, check_header

if sys.version_info >= (3, 14):
    new_id = uuid.uuid7
else:
    import uuid6

    def new_id() -> UUID:
        """A UUIDv7 (RFC 9562): ordered by time."""
        return UUID(int=uuid6.uuid7().int)


class _Stamps:
    """Hybrid logical stamps, "<15 digits of ms>-<4 hex>": in one millisecond no two alike of one process."""

    def __init__(self, *, forward: bool) -> None:
        self._lock = threading.Lock()
        self._forward = forward
        self._ms = -1
        self._count = 0

    def at(self, ms: int) -> str:
        with self._lock:
            if self._forward:
                ms = max(ms, self._ms)
            if ms != self._ms:
                self._ms, self._count = ms, 0
            elif self._count < 0xFFFF:
                self._count += 1
            else:
                self._ms, self._count = ms + 1, 0
            return f"{self._ms:015d}-{self._count:04x}"


_now = _Stamps(forward=True)
_then = _Stamps(forward=False)


def compose(
    kind: str,
    body: dict[str, Any],
    *,
    tree: UUID | None = None,
    run: UUID | None = None,
    at: datetime | None = None,
    id: UUID | None = None,
) -> dict[str, Any]:
    """Make a record in the wire form.

    Parameters
    ----------
    at : when it was seen or decided (aware); it is stamped so. None: now, after every earlier record made now
        by this process.
    id : a UUIDv7 of one's own; None makes one.

    Raises
    ------
    BadValue
        for an unknown kind or a body that the journal would set aside, with the field's path.
    """
    _check(kind, body, tree, run)
    hlc, at, offset_min = _time(at)
    return {
        "id": str(id or new_id()),
        "device_seq": None,
        "kind": kind,
        "v": 1,
        "tree": str(tree) if tree else None,
        "run": str(run) if run else None,
        "observed_at": at.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z"),
        "utc_offset_min": offset_min,
        "hlc": hlc,
        "body": body,
    }


def _time(at: datetime | None) -> tuple[str, datetime, int]:
    """The stamp, the moment and the offset from UTC [min] of a record made at ``at``, or now."""
    if at is None:
        ms = time.time_ns() // 1_000_000
        return _now.at(ms), datetime.fromtimestamp(ms / 1000, UTC), 0
    offset = at.utcoffset()
    if offset is None:
        raise BadValue("the time has no zone", field="at", mend="Give an aware time.")
    return _then.at(int(at.timestamp() * 1000)), at, int(offset.total_seconds() // 60)


def _check(kind: str, body: dict[str, Any], tree: UUID | None, run: UUID | None) -> None:
    if kind == CORRECTION:
        if as_uuid(body.get("replaces")) is None:
            raise BadValue("it does not say which record it corrects", field="body.replaces", mend="Name it.")
        return
    spec = KINDS.get(kind)
    if spec is None:
        raise BadValue(f"{kind} is no kind of record", field="kind", mend=f"Use one of {', '.join(KINDS)}.")
    fault = check_header(spec, tree, run) or check_body(spec, body)
    if fault:
        raise BadValue(say(fault.message), field=fault.field, mend=say(fault.mend))
