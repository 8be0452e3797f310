"""Records that only the owner makes: asked wherever others hand records over."""

from collections.abc import Sequence

from nursery.models import JournalRecord

from .fields import as_uuid
from .kinds import CORRECTION, KINDS

OWNERS = frozenset(name for name, kind in KINDS.items() if kind.owner)


def owners_only(raws: Sequence[object]) -> str:
    """The path of the first record in wire form that only the owner makes, or corrects; "" for none.

    One query, where a correction is among them.
    """
    corrects = {}
    for at, raw in enumerate(raws):
        if not isinstance(raw, dict):
            continue
        if raw.get("kind") in OWNERS:
            return f"records[{at}].kind"
        body = raw.get("body")
        if raw.get("kind") == CORRECTION and isinstance(body, dict):
            corrects[as_uuid(body.get("replaces"))] = at
    ids = [id for id in corrects if id is not None]
    found = JournalRecord.objects.filter(id__in=ids, kind__in=OWNERS).first() if ids else None
    return "" if found is None else f"records[{corrects[found.id]}].body.replaces"
