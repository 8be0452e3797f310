"""Writes records in their wire form, with ids and stamps drawn from the seed."""

import uuid
from datetime import UTC, datetime

import numpy as np

Record = dict[str, object]


class Pen:
    """Makes records that a phone might have made; the same generator gives the same records."""

    def __init__(self, rng: np.random.Generator) -> None:
        self._rng = rng
        self._noise = b""
        self._last = (0, 0)

    def new_id(self, at: datetime) -> str:
        """A UUID version 7 of that moment."""
        ms = int(at.timestamp() * 1000)
        if len(self._noise) < 10:
            self._noise = self._rng.bytes(10 * 4096)
        noise, self._noise = self._noise[:10], self._noise[10:]
        bits = (ms & (2**48 - 1)) << 80 | int.from_bytes(noise, "big")
        bits = bits & ~(0xF << 76) | 0x7 << 76
        bits = bits & ~(0x3 << 62) | 0x2 << 62
        return str(uuid.UUID(int=bits))

    def hlc(self, at: datetime) -> str:
        """The stamp of that moment; the counter tells apart what was written in one millisecond."""
        ms = int(at.timestamp() * 1000)
        count = self._last[1] + 1 if ms == self._last[0] else 0
        self._last = (ms, count)
        return f"{ms:015d}-{count:04x}"

    def write(
        self,
        kind: str,
        at: datetime,
        body: Record,
        *,
        tree: str | None = None,
        run: str | None = None,
    ) -> Record:
        """One record, as ``POST /api/sync/push`` would carry it."""
        at = at.astimezone(UTC)
        return {
            "id": self.new_id(at),
            "device_seq": None,
            "kind": kind,
            "v": 1,
            "tree": tree,
            "run": run,
            "observed_at": at.isoformat(timespec="milliseconds").replace("+00:00", "Z"),
            "utc_offset_min": 0,
            "hlc": self.hlc(at),
            "body": body,
        }
