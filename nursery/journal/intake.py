"""Taking records in: judge, store, apply, roll up and publish under the feed's lock."""

import logging
from collections.abc import Callable, Collection, Sequence
from datetime import date, datetime
from functools import partial
from typing import NamedTuple
from uuid import UUID

from django.db import IntegrityError, OperationalError, transaction
from django.db.models import Q
from django.utils import timezone

from nursery import bulk
from nursery.feed import lock_head
from nursery.models import Fate, FeedHead, JournalRecord
from nursery.rollup import mark_stale
from nursery.rollup import roll_up as roll_up_trees
from nursery.sentences import Sentence, sentence, unkept

from .apply import apply
from .judge import judge
from .kinds import Fault
from .rec import Rec, load, save_fates
from .store import CONTESTED, DUPLICATE, insert, new, sift
from .wire import Wire, parse_all

log = logging.getLogger(__name__)
CHUNK = 2000


class Result(NamedTuple):
    """What became of one record handed over: "stored", "duplicate" or "set_aside" with its reason.

    ``message`` and ``mend`` are to be said where they are read.
    """

    id: str
    outcome: str
    reason: str = ""
    field: str = ""
    message: Sentence = ""
    mend: Sentence = ""


_REUSED = Fault(
    "id_reused",
    "id",
    sentence("another record with this id and other content is here already"),
    sentence("The shed shows both; keep the right one by a correction."),
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

    What is new is judged, stored and applied in one transaction. Where that fails it is stored all the same,
    and judged in transactions of its own, as is what a server left behind that died between the two. A fault
    in judging costs no record: it stays pending, and the next call takes it up.

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
    try:
        outcomes, settled = _all_at_once(wires, device, now, today if roll_up else None)
    except IntegrityError:
        # Foreign keys are checked only at the commit.
        log.exception("%d records could not be committed; storing them before they are judged", len(wires))
        outcomes, settled = _only_store(wires, device, now), []
    if JournalRecord.objects.pending().exists():
        settle_pending(today=today, roll_up=roll_up)
        settled = []
    return _results(wires, outcomes, settled)


def _all_at_once(
    wires: Sequence[Wire], device: UUID | None, now: datetime, today: date | None
) -> tuple[list[str], list[Rec]]:
    """One word a record, and the new ones as they were judged: none where they are stored only."""
    with transaction.atomic():
        head = lock_head()  # two phones may hand over one record at the same time
        outcomes, fresh = sift(wires, device=device, now=now)
        recs = [new(wire, device) for wire in fresh]
        seq = head.seq
        try:
            with transaction.atomic():
                trees = settle(head, recs, store=partial(insert, fresh, recs, now=now))
                _stand(head, trees, today)
        except Exception:
            log.exception("%d records could not be applied at once; storing them before", len(recs))
            _turn_back(head, seq)
            insert(fresh, [new(wire, device) for wire in fresh], now=now)
            recs = []
    return outcomes, recs


def _only_store(wires: Sequence[Wire], device: UUID | None, now: datetime) -> list[str]:
    with transaction.atomic():
        lock_head()
        outcomes, fresh = sift(wires, device=device, now=now)
        insert(fresh, [new(wire, device) for wire in fresh], now=now)
    return outcomes


def _results(wires: Sequence[Wire], outcomes: Sequence[str], settled: Sequence[Rec]) -> list[Result]:
    """One Result a record; one that is set aside says so also when it is handed over again.

    ``settled``: records whose fate is at hand.
    """
    aside = {rec.id: rec.fault for rec in settled if rec.fate == Fate.SET_ASIDE}
    if len(settled) < len(wires):
        ids = {wire.id for wire in wires}.difference(rec.id for rec in settled)
        faults = bulk.among(JournalRecord, ids, *Fault._fields, where="fate = 'set_aside'")
        aside.update(
            (id, Fault(reason, field, unkept(message), unkept(mend)))
            for id, reason, field, message, mend in faults
        )
    results = []
    for wire, outcome in zip(wires, outcomes, strict=True):
        id = str(wire.id)
        fault = _REUSED if outcome == CONTESTED else aside.get(wire.id) if aside else None
        if fault:
            results.append(Result(id, "set_aside", *fault))
        else:
            results.append(Result(id, DUPLICATE if outcome == DUPLICATE else "stored"))
    return results


def settle_pending(*, today: date, roll_up: bool = True, chunk: int = CHUNK) -> None:
    """Judge and apply all that is stored and pending, a chunk to a transaction, in the order of stamps."""
    while True:
        ids: list[UUID] = []
        try:
            with transaction.atomic():
                head = lock_head()
                found = JournalRecord.objects.pending().order_by("hlc", "id")
                ids = list(found.values_list("id", flat=True)[:chunk])
                trees = settle_chunk(head, ids)
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


def settle_chunk(head: FeedHead | None, ids: Collection[UUID]) -> set[UUID]:
    """Judge and apply stored records; returns the trees touched. ``head`` None publishes nothing."""
    if not ids:
        return set()
    seq = head.seq if head else 0
    try:
        with transaction.atomic():
            return settle(head, load(Q(id__in=ids)))
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


def settle(
    head: FeedHead | None,
    batch: Sequence[Rec],
    *,
    woken: set[UUID] | None = None,
    store: Callable[[], None] | None = None,
) -> set[UUID]:
    """Judge and apply a batch (``woken`` as in ``judge``); returns the trees touched.

    ``store`` stores the batch, where it is new, once its fates are known.
    """
    changed = [rec for rec in judge(batch, woken=woken) if rec.changed]
    if store is not None:
        store()
    save_fates([rec for rec in changed if not rec.new])
    return apply(head, changed)


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
        sentence("it could not be applied ({why})", why=why),
        sentence("Tell whoever keeps the server; the record is kept, and a correction tries it again."),
    )
    with transaction.atomic():
        [rec] = load(Q(id=id))
        rec.settle(Fate.SET_ASIDE, fault)
        save_fates([rec])
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
