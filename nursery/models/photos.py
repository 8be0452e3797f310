"""Pictures of trees: what a record says of one, and the file that came for it. Either may come first."""

from django.db import models
from django.db.models import Q

from .looks import Look


class Picture(Look):
    """One ``photo`` record. It names its file by ``photo``, which need not be here yet."""

    photo = models.UUIDField(db_index=True)
    caption = models.CharField(max_length=200, blank=True)

    class Meta:
        indexes = [models.Index(fields=["tree", "at"], name="picture_by_tree")]


class PhotoFile(models.Model):
    """What came of one upload; kept by backups, since no record could make it anew.

    ``sha256`` and ``bytes`` are those of the file as the phone sent it, by which a second sending is known
    for what it is; ``kept_sha256`` is that of the cleaned picture on the disk. A refused file has a
    ``reason`` and no name.
    """

    id = models.UUIDField(primary_key=True)
    sha256 = models.CharField(max_length=64)
    bytes = models.PositiveIntegerField()
    device = models.UUIDField(null=True)
    received_at = models.DateTimeField()
    #: Names in the default storage: the cleaned picture, and a small one for lists.
    name = models.CharField(max_length=120, blank=True)
    small_name = models.CharField(max_length=120, blank=True)
    kept_sha256 = models.CharField(max_length=64, blank=True)
    width = models.PositiveIntegerField(default=0, help_text="[px]")
    height = models.PositiveIntegerField(default=0, help_text="[px]")
    reason = models.CharField(max_length=40, blank=True)
    message = models.CharField(max_length=300, blank=True)
    mend = models.CharField(max_length=300, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(name="") ^ Q(reason=""), name="photo_kept_or_refused"),
        ]
