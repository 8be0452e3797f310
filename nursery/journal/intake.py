"""Taking records in: store them all, then judge, apply, roll up and publish under the feed's lock."""

import logging
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from types import MappingProxyType
from uuid import UUID

from django.db import IntegrityError, OperationalError, transaction
from django.db.models import Q
from django.utils import timezone

from nursery import bulk
from nursery.feed import lock_head
from nursery.models import Fate, FeedHead, JournalRecord
from nursery.rollup import mark_stale
from nursery.rollup import roll_up as roll_up_trees

from .apply import apply
from .judge import judge
from .kinds import Fault
from .rec import Rec, load
from .store import CONTESTED, DUPLICATE, store
from .wire import Wire, parse_all

log = logging.getLogger(__name__)
CHUNK = 2000


@dataclass(frozen=True, slots=True)
class Result:
    """What became of one record handed over: "stored", "duplicate" or "set_aside" with its reason."""

    id: str
    outcome: str
    reason: str = ""
    field: str = ""
    message: str = ""
    mend: str = ""


_REUSED = Fault(
    "id_reused",
    "id",
    "another record with this id and other content is here already",
    "The shed shows both; keep the right one by a correction.",
)


def take_in(
    raws: Sequence[object],
    *,
    device: UUID | None = None,
    now: datetime | None = None,
    today: date | None = None,
    roll_up: bool = True,
) -> list[Result]:
    """Take records in their wire form into the journal: the only way in.

    First all are stored and committed; then, in transactions of their own, what is stored and not yet judged
    (also what a server that died left behind) is judged and applied. A fault in the second part costs no
    record: it stays pending, and the next call takes it up.

    Parameters
    ----------
    raws : records in the wire form.
    device : the phone that hands them over; None for the shed.
    now : the server's clock; today : the day for standings (site of the server's own time zone).
    roll_up : False leaves the trees' standings to whoever asks for them next (``rollup.settle_stale``).

    Returns
    -------
    One Result a record, in the order given.

    Raises
    ------
    BadValue
        where a record is malformed (not an object, no id, bad stamp); its field is ``records[3].hlc``, and
        nothing is stored.
    """
    now = now or timezone.now()
    today = today or timezone.localdate(now)
    wires = parse_all(raws)
    outcomes, fresh = store(wires, device=device, now=now)
    settle_pending(today=today, roll_up=roll_up, fresh=fresh)
    return _results(wires, outcomes)


def _results(wires: Sequence[Wire], outcomes: Sequence[str]) -> list[Result]:
    """One Result a record; one that is set aside says so also when it is handed over again."""
    faults = ("reason", "field", "message", "mend")
    ids = {wire.id for wire in wires}
    aside = {
        str(row[0]): Fault(*row[1:])
        for row in bulk.among(JournalRecord, ids, *faults, where="fate = 'set_aside'")
    }
    results = []
    for wire, outcome in zip(wires, outcomes, strict=True):
        id = str(wire.id)
        fault = _REUSED if outcome == CONTESTED else aside.get(id)
        if fault:
            results.append(Result(id, "set_aside", *fault))
        else:
            results.append(Result(id, DUPLICATE if outcome == DUPLICATE else "stored"))
    return results


def settle_pending(
    *, today: date, roll_up: bool = True, chunk: int = CHUNK, fresh: Mapping[UUID, Rec] | None = None
) -> None:
    """Judge and apply all that is stored and pending, a chunk to a transaction, in the order of stamps.

    ``fresh`` are records just stored, which need not be loaded again.
    """
    while True:
        ids: list[UUID] = []
        try:
            with transaction.atomic():
                head = lock_head()
                found = JournalRecord.objects.pending().order_by("hlc", "id")
                ids = list(found.values_list("id", flat=True)[:chunk])
                trees = settle_chunk(head, ids, fresh or {})
                _stand(head, trees, today if roll_up else None)
        except IntegrityError:
            log.exception("a batch of %d records could not be committed; trying them alone", len(ids))
            _each_alone(ids, today=today, roll_up=roll_up)
        except OperationalError:
            # The database is busy or gone: what is stored stays pending for the next call.
            log.exception("records are stored but not applied yet")
            return
        if len(ids) < chunk:
            return


def _each_alone(ids: Sequence[UUID], *, today: date, roll_up: bool) -> None:
    """Give each record a transaction of its own: foreign keys are checked only when one commits."""
    for id in ids:
        try:
            with transaction.atomic():
                head = lock_head()
                trees = _one_by_one(head, [id])
                _stand(head, trees, today if roll_up else None)
        except IntegrityError as why:
            with transaction.atomic():
                _give_up(lock_head(), id, type(why).__name__)


def settle_chunk(
    head: FeedHead | None, ids: Collection[UUID], fresh: Mapping[UUID, Rec] = MappingProxyType({})
) -> set[UUID]:
    """Judge and apply stored records; returns the trees touched. ``head`` None publishes nothing."""
    if not ids:
        return set()
    seq = head.seq if head else 0
    try:
        with transaction.atomic():
            held = [fresh[id] for id in ids if id in fresh]
            rest = [id for id in ids if id not in fresh]
            return settle(head, held + load(Q(id__in=rest)) if rest else held)
    except OperationalError:
        raise
    except Exception:
        log.exception("a batch of %d records could not be applied; trying them one by one", len(ids))
        _turn_back(head, seq)
        return _one_by_one(head, ids)


def _turn_back(head: FeedHead | None, seq: int) -> None:
    """Forget the numbers that a rolled back savepoint gave out."""
    if head is not None:
        head.seq = seq


def settle(head: FeedHead | None, batch: Sequence[Rec], *, woken: set[UUID] | None = None) -> set[UUID]:
    """Judge and apply a batch (``woken`` as in ``judge``); returns the trees touched."""
    return apply(head, judge(batch, woken=woken))


def _one_by_one(head: FeedHead | None, ids: Collection[UUID]) -> set[UUID]:
    """Apply each record in a savepoint of its own. One that fails is set aside and blocks none.

    Also records that a record wakes (the looks that waited for their tree) are taken one by one, after it: it
    must not suffer for a fault of theirs.
    """
    trees: set[UUID] = set()
    todo: Collection[UUID] = ids
    while todo:
        woken: set[UUID] = set()
        for id, _ in sorted(((rec.id, rec.key) for rec in load(Q(id__in=todo))), key=lambda one: one[1]):
            trees |= _one(head, id, woken)
        todo = woken
    return trees


def _one(head: FeedHead | None, id: UUID, woken: set[UUID]) -> set[UUID]:
    seq = head.seq if head else 0
    try:
        with transaction.atomic():
            mine: set[UUID] = set()
            trees = settle(head, load(Q(id=id)), woken=mine)
    except OperationalError:
        raise
    except Exception as why:
        _turn_back(head, seq)
        log.exception("record %s could not be applied", id)
        _give_up(head, id, type(why).__name__)
        return set()
    woken |= mine
    return trees


def _give_up(head: FeedHead | None, id: UUID, why: str) -> None:
    fault = Fault(
        "could_not_apply",
        "",
        f"it could not be applied ({why})",
        "Tell whoever keeps the server; the record is kept, and a correction tries it again.",
    )
    with transaction.atomic():
        [rec] = load(Q(id=id))
        rec.settle(Fate.SET_ASIDE, fault)
        apply(head, [rec])


def _stand(head: FeedHead, trees: Collection[UUID], today: date | None) -> None:
    """Roll up the trees touched, or without a day note that they wait for it.

    A fault in the roll-up must not undo records: standings are made anew each day.
    """
    if not trees:
        return
    if today is None:
        mark_stale(trees)
        return
    seq = head.seq
    try:
        with transaction.atomic():
            roll_up_trees(trees, today=today, head=head)
    except OperationalError:
        raise
    except Exception:
        head.seq = seq
        log.exception("the standings of %d trees could not be rolled up", len(trees))
