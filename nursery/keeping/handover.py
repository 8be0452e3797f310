"""The file that a phone saves when it cannot sync, taken in with the same results as a sync.

``{"misho": "handover", "v": 1, "device": uuid, "name": ..., "records": [...], "sha256": hex}``, where the
hash is of the records as canonical JSON (sorted keys, no spaces, utf-8). A ``count`` before the records is
optional; with it, a file that ends early can say how many records it lacks. Pictures may stand behind them
(``photos``, see ``handed_photos``); a phone with many makes several files, the records in the first.
"""

import hashlib
import json
import re
from collections import Counter
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from nursery.errors import BadValue
from nursery.journal import Result, take_in
from nursery.sentences import english, later, said, sentence

from . import handed_photos
from .errors import BadHandOver
from .handed_photos import PhotoTally

#: Longest file that is read [bytes]: about 60,000 records, or 20 pictures.
LIMIT = 20 * 1024 * 1024
#: As many as a phone pushes at once.
CHUNK = 200
FORM = 1

_AGAIN = later("Export it again from the phone.")
_WHOLE_LOT = later("Export it again from the phone, or take in those that can be read.")
_CHOOSE = later("Choose the file that the phone saved.")
_START = re.compile(r'"records"\s*:\s*\[')
_COUNT = re.compile(r'"count"\s*:\s*(\d{1,9})\b')
_DEVICE = re.compile(r'"device"\s*:\s*"([0-9a-fA-F-]{36})"')
_SPACE = re.compile(r"[\s,]*")
_NEXT = re.compile(r"\}\s*,\s*(?=\{)")


@dataclass(frozen=True)
class HandOver:
    """A phone's records in wire form, and the phone that made them (None when the file does not say)."""

    records: list[Any]
    device: UUID | None
    name: str = ""
    photos: list[Any] = field(default_factory=list)


@dataclass
class Tally:
    """What became of the records of a file."""

    results: list[Result] = field(default_factory=list)
    #: Records so malformed that no journal can hold them: their place in the file (from 1) and why.
    refused: list[tuple[int, str]] = field(default_factory=list)
    photos: PhotoTally = field(default_factory=PhotoTally)

    @property
    def count(self) -> dict[str, int]:
        """How many were "stored", "duplicate" and "set_aside"."""
        seen = Counter(result.outcome for result in self.results)
        return {outcome: seen[outcome] for outcome in ("stored", "duplicate", "set_aside")}

    @property
    def aside(self) -> list[Result]:
        return [result for result in self.results if result.outcome == "set_aside"]

    def lines(self) -> list[str]:
        """For a person: the counts, then one line for each record that needs settling."""
        count = self.count
        told = [
            f"{count['stored']} stored, {count['duplicate']} known already, {count['set_aside']} set aside,"
            f" {len(self.refused)} malformed."
        ]
        told += [f"Set aside: {english(r.message)}. {english(r.mend)}" for r in self.aside]
        told += [f"Record {number} is malformed: {why}." for number, why in self.refused]
        return told + self.photos.lines()


def read(data: bytes, *, readable: bool = False) -> HandOver:
    """Read a hand-over file.

    Parameters
    ----------
    readable : of a damaged file, give the records that can be read instead of refusing it. Each record is
        judged for itself, so taking in a part harms nothing.

    Raises
    ------
    BadHandOver : too long, foreign, of a newer version, or damaged, naming how many records could be read.
    """
    if len(data) > LIMIT:
        raise BadHandOver(
            said("The file is longer than 20 MB: no phone's hand-over is."), mend=said("Choose another file.")
        )
    text = data.decode("utf-8", errors="replace")
    try:
        raw = json.loads(text)
    except (ValueError, RecursionError):
        return _damaged(text, readable)
    if not isinstance(raw, dict) or raw.get("misho") != "handover":
        raise BadHandOver(said("This is no hand-over file of Misho."), mend=str(_CHOOSE))
    if raw.get("v") != FORM:
        raise BadHandOver(
            said(
                "The file has form {form}, from a newer app; this shed reads form {ours}.",
                form=str(raw.get("v"))[:20],
                ours=FORM,
            ),
            mend=said("Update Misho at the shed, then hand it over again."),
        )
    records = raw.get("records")
    if not isinstance(records, list):
        raise BadHandOver(said("The file has no list of records."), mend=str(_AGAIN))
    if not readable and raw.get("sha256") not in _hashes(text, records):
        raise BadHandOver(
            said(
                "The file was changed on its way: {n} records can be read, but with another hash.",
                n=len(records),
            ),
            mend=str(_WHOLE_LOT),
            readable=len(records),
            total=len(records),
        )
    name = str(raw.get("name") or "")[:60]
    return HandOver(records, _uuid(raw.get("device")), name, handed_photos.listed(raw.get("photos")))


def _hashes(text: str, records: list[Any]) -> set[str]:
    """The records' hash as we write them, and of the very text: a phone may write a number otherwise."""
    ours = json.dumps(records, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    found = {hashlib.sha256(ours.encode("utf-8", errors="surrogatepass")).hexdigest()}
    start = _START.search(text)
    if start:
        _, end = json.JSONDecoder().raw_decode(text, start.end() - 1)
        found.add(hashlib.sha256(text[start.end() - 1 : end].encode()).hexdigest())
    return found


def _damaged(text: str, readable: bool) -> HandOver:
    start = _START.search(text)
    if start is None or '"handover"' not in text[: start.start()]:
        raise BadHandOver(
            said("This is no hand-over file of Misho, or nothing of it could be read."), mend=str(_CHOOSE)
        )
    found = _salvage(text, start.end())
    head = text[: start.start()]
    photos = handed_photos.salvage(text)
    if readable:
        device = _DEVICE.search(head)
        return HandOver(found.records, _uuid(device[1]) if device else None, photos=photos)
    count = _COUNT.search(head)
    total = int(count[1]) if count else len(found.records) if found.closed and not found.gap else None
    number = len(found.records)
    of = sentence("{n} records", n=number)
    if total is not None:
        of = sentence("{n} of {total} records", n=number, total=total)
    if photos:
        of = sentence("{records:word} and {n} {n:photo|photos}", records=of, n=len(photos))
    why = sentence("the file ends early")
    if found.gap:
        why = sentence("it is damaged after record {n}", n=found.before_gap)
    message = said("{part:word} could be read: {why:word}.", part=of, why=why)
    raise BadHandOver(message, mend=str(_AGAIN), readable=number, total=total)


@dataclass
class _Salvaged:
    """What could be read of a damaged list of records."""

    records: list[Any] = field(default_factory=list)
    #: Something between or after the records makes no sense; how many came before it.
    gap: bool = False
    before_gap: int = 0
    #: The list's end was reached.
    closed: bool = False


def _salvage(text: str, at: int) -> _Salvaged:
    """All whole records, those after a damaged one too."""
    decoder, found, damage = json.JSONDecoder(), _Salvaged(), -1
    while True:
        space = _SPACE.match(text, at)
        at = space.end() if space else at
        try:
            record, at = decoder.raw_decode(text, at)
        except (ValueError, RecursionError):
            found.closed = text[at : at + 1] == "]"
            onward = None if found.closed else _NEXT.search(text, at)
            if damage < 0 and not found.closed:
                damage, found.before_gap = at, len(found.records)
            if onward is None:
                break
            at = onward.end()
        else:
            # A part of a damaged record (one root of a survey) is no record.
            if isinstance(record, dict) and {"id", "hlc"} <= record.keys():
                found.records.append(record)
    more = len(found.records) > found.before_gap
    found.gap = damage >= 0 and (more or not _ends_early(text[damage:]))
    return found


def _ends_early(rest: str) -> bool:
    """Whether all brackets and quotes that were opened in the rest stay open."""
    depth, quoted, escaped = 0, False, False
    for letter in rest:
        if escaped:
            escaped = False
        elif quoted:
            quoted, escaped = letter != '"', letter == "\\"
        elif letter == '"':
            quoted = True
        elif letter in "{[":
            depth += 1
        elif letter in "}]":
            depth -= 1
            if depth <= 0:
                return False
    return True


def _uuid(raw: object) -> UUID | None:
    try:
        return UUID(str(raw))
    except ValueError:
        return None


def take(file: HandOver) -> Tally:
    """Take the records in as a push would, in chunks. One malformed record holds up none of the others."""
    tally = Tally()
    for start in range(0, len(file.records), CHUNK):
        chunk = file.records[start : start + CHUNK]
        try:
            tally.results += take_in(chunk, device=file.device)
        except BadValue:
            _one_by_one(chunk, start, file.device, tally)
    tally.photos = handed_photos.take(file.photos, file.device)
    return tally


def _one_by_one(chunk: list[Any], start: int, device: UUID | None, tally: Tally) -> None:
    for number, record in enumerate(chunk, start=start + 1):
        try:
            tally.results += take_in([record], device=device)
        except BadValue as fault:
            where = fault.field.removeprefix("records[0]").lstrip(".")
            tally.refused.append((number, f"{where}: {fault.message}" if where else fault.message))
