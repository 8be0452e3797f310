"""Pictures inside a hand-over file: ``{"photo": uuid, "sha256": hex, "bytes": n, "data": base64}`` each.

Each has a hash of its own, so that one damaged picture costs neither the records nor the other pictures.
"""

import base64
import binascii
import hashlib
import re
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from nursery import photos
from nursery.errors import MishoError
from nursery.models import PhotoFile
from nursery.sentences import said, say

_ONE = re.compile(
    r'\{"photo":"([0-9a-f-]{36})","sha256":"([0-9a-f]{64})","bytes":(\d{1,9}),"data":"([A-Za-z0-9+/]+={0,2})"\}'
)


@dataclass
class PhotoTally:
    """What became of the pictures of a file. ``refused``: their place in the file (from 1) and why."""

    kept: int = 0
    known: int = 0
    refused: list[tuple[int, str]] = field(default_factory=list)

    def lines(self) -> list[str]:
        if not (self.kept or self.known or self.refused):
            return []
        told = [f"Photos: {self.kept} kept, {self.known} known already, {len(self.refused)} refused."]
        return told + [f"Photo {number}: {why}" for number, why in self.refused]


def listed(raw: object) -> list[Any]:
    """The pictures of a whole file."""
    return raw if isinstance(raw, list) else []


def salvage(text: str) -> list[dict[str, object]]:
    """The pictures of a damaged file that stand there whole."""
    return [{"photo": m[1], "sha256": m[2], "bytes": int(m[3]), "data": m[4]} for m in _ONE.finditer(text)]


def take(found: list[Any], device: UUID | None) -> PhotoTally:
    """Take pictures in as an upload would. A refusal is told, and holds up none of the others."""
    tally = PhotoTally()
    for number, one in enumerate(found, start=1):
        try:
            id, data = _read(one)
            known = PhotoFile.objects.filter(pk=id).exists()
            row = photos.take_whole(data, id, device=device)
        except MishoError as fault:
            tally.refused.append((number, f"{fault.message} {fault.mend}".strip()))
            continue
        if row.reason:
            tally.refused.append((number, f"{say(row.message)} {say(row.mend)}".strip()))
        elif known:
            tally.known += 1
        else:
            tally.kept += 1
    return tally


def _read(one: object) -> tuple[UUID, bytes]:
    """One picture's id and bytes, as long and with the hash that stand beside them."""
    damaged = photos.BadPhoto(
        said("It was damaged on its way."), mend=said("Export it again from the phone.")
    )
    if not isinstance(one, dict) or len(str(one.get("data"))) > photos.MOST_BYTES * 4 // 3 + 4:
        raise damaged
    try:
        id, data = UUID(str(one.get("photo"))), base64.b64decode(str(one.get("data")), validate=True)
    except (ValueError, binascii.Error):
        raise damaged from None
    if len(data) != one.get("bytes") or hashlib.sha256(data).hexdigest() != one.get("sha256"):
        raise damaged
    return id, data
