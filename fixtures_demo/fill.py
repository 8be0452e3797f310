"""Fills an empty database with the invented nursery, through the journal like every other writer."""

from collections.abc import Callable, Iterator
from datetime import date

from django.db import transaction
from django.utils import timezone

from nursery.errors import Refused
from nursery.journal import take_in
from nursery.models import JournalRecord
from nursery.rollup import roll_up_all

from .pen import Record
from .sim import Story, tell

#: Records in one go at most (one tree's may be more). Whole trees are kept together, and no more than the
#: journal applies in one transaction, since a tree is made anew as often as it is touched.
CHUNK = 1900

Progress = Callable[[str, int, int], None]


def refuse_unless_empty() -> None:
    """Raise Refused when the database holds a record already: a demo never mixes with real trees."""
    if JournalRecord.objects.exists():
        raise Refused(
            "This database holds a nursery already, so the demo is not put into it.",
            code="not_empty",
            mend="Give the demo a folder of its own: MISHO_DATA=/some/empty/folder",
        )


def chunks(story: Story) -> Iterator[list[Record]]:
    """The common records first (benches, lots, walks), then whole trees, then the odd ones."""
    yield story.common
    batch: list[Record] = []
    for own in story.by_tree:
        if batch and len(batch) + len(own) > CHUNK:
            yield batch
            batch = []
        batch += own
    yield batch + story.odd


def fill(
    *,
    seed: int,
    trees: int,
    years: int,
    benches: int = 10,
    today: date | None = None,
    progress: Progress = lambda what, done, of: None,
) -> int:
    """Fill the database; the number of records written.

    Raises
    ------
    Refused : the database is not empty.
    """
    today = today or timezone.localdate()
    # All or nothing: a demo that was broken off must not look like somebody's nursery to the next try.
    with transaction.atomic():
        refuse_unless_empty()
        return _fill(tell(seed, trees, benches, years, today), today, progress)


def _fill(story: Story, today: date, progress: Progress) -> int:
    done = 0
    for batch in chunks(story):
        take_in(batch, today=today, roll_up=False)
        done += len(batch)
        progress("records", done, len(story))
    progress("standings", 0, 1)
    roll_up_all(today, refit=True)
    progress("standings", 1, 1)
    return done
