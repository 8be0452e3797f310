"""The journal: all records as they arrived. Everything else can be made anew from it."""

from django.db import models
from django.db.models import Q
from django.db.models.expressions import RawSQL

from .words import Fate


class JournalRecords(models.QuerySet["JournalRecord"]):
    """Records by fate, through the partial indexes.

    SQLite uses a partial index only where the statement itself has the word, not a parameter.
    """

    def pending(self) -> "JournalRecords":
        """Stored, and not judged yet."""
        return self.filter(fate=RawSQL("'pending'", []))

    def set_aside(self) -> "JournalRecords":
        """Kept whole and not applied, for a person to settle."""
        return self.filter(fate=RawSQL("'set_aside'", []))


class JournalRecord(models.Model):
    """One immutable record, and (apart from its content) what became of it.

    The first group of fields is what the phone sent and is never changed. The second is derived: it can be
    cleared and made anew, and ``rebuild`` does so.
    """

    id = models.UUIDField(primary_key=True)
    device = models.UUIDField(null=True)
    device_seq = models.BigIntegerField(null=True)
    kind = models.CharField(max_length=40)
    v = models.PositiveSmallIntegerField(default=1)
    tree = models.UUIDField(null=True)
    run = models.UUIDField(null=True)
    observed_at = models.DateTimeField()
    utc_offset_min = models.SmallIntegerField(default=0)
    hlc = models.CharField(max_length=20)
    body = models.JSONField()
    #: Entries of the wire form that this version does not know; null where there are none.
    more = models.JSONField(null=True)
    content_hash = models.CharField(max_length=64)
    received_at = models.DateTimeField()
    #: Stamped more than five minutes ahead of the server's clock.
    ahead = models.BooleanField(default=False)

    fate = models.CharField(max_length=10, choices=Fate.choices, default=Fate.PENDING)
    reason = models.CharField(max_length=40, blank=True)
    field = models.CharField(max_length=60, blank=True)
    #: Sentences: JSON where they have values (``nursery.sentences.kept``), else their text.
    message = models.TextField(blank=True)
    mend = models.TextField(blank=True)
    #: The thing (bench, lot, wiring, corrected record) that this record needs besides its tree.
    ref = models.UUIDField(null=True)
    #: The thing that this record makes or changes (tree, bench, lot, site, run, wiring).
    makes = models.UUIDField(null=True)
    #: The body in force after corrections; null while it is the record's own.
    corrected_body = models.JSONField(null=True)

    objects = JournalRecords.as_manager()

    class Meta:
        indexes = [
            models.Index(fields=["tree", "kind"], name="record_by_tree"),
            models.Index(fields=["ref"], name="record_by_ref", condition=Q(ref__isnull=False)),
            models.Index(fields=["makes"], name="record_by_makes", condition=Q(makes__isnull=False)),
            models.Index(fields=["hlc", "id"], name="record_by_hlc"),
            models.Index(fields=["hlc", "id"], name="record_pending", condition=Q(fate="pending")),
            models.Index(fields=["hlc", "id"], name="record_set_aside", condition=Q(fate="set_aside")),
            models.Index(fields=["received_at"], name="record_ahead", condition=Q(ahead=True)),
        ]


class Contested(models.Model):
    """A record that came with the id of another one and other content: kept whole, never applied."""

    record = models.UUIDField()
    content_hash = models.CharField(max_length=64)
    device = models.UUIDField(null=True)
    received_at = models.DateTimeField()
    content = models.JSONField()
    settled_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["record", "content_hash"], name="contested_once"),
        ]


class FeedHead(models.Model):
    """The one row that every writer locks until it commits, so that a reader never skips a late commit."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    epoch = models.CharField(max_length=36)
    seq = models.BigIntegerField(default=0)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="feed_head_is_one")]


class FeedRow(models.Model):
    """The newest state of one thing that phones mirror. ``data`` null means: it is gone."""

    topic = models.CharField(max_length=12)
    key = models.CharField(max_length=40)
    seq = models.BigIntegerField(unique=True)
    data = models.JSONField(null=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["topic", "key"], name="feed_row_once")]
