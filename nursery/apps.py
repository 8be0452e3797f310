"""The nursery's app: after each migration it sees to the species and the head of the feed."""

import json
import uuid
from pathlib import Path
from typing import Any

from django.apps import AppConfig
from django.apps import apps as registry
from django.db import transaction
from django.db.models.signals import post_migrate

SPECIES_FILE = Path(__file__).with_name("species.json")


class NurseryConfig(AppConfig):
    name = "nursery"
    label = "nursery"
    verbose_name = "Nursery"

    def ready(self) -> None:
        post_migrate.connect(furnish, sender=self)


def furnish(apps: Any = None, **_: Any) -> None:
    """Load the species, make the feed's head with a fresh epoch, and publish the species to phones.

    ``apps`` are the models as this migration leaves them: where it goes back before a table was made, there
    is nothing to furnish. A flush sends none: then all tables are there.
    """
    apps = apps or registry
    try:
        head_model = apps.get_model("nursery", "FeedHead")
        species_model = apps.get_model("nursery", "Species")
        apps.get_model("nursery", "FeedRow")
    except LookupError:
        return
    from nursery import feed

    with transaction.atomic():
        head_model.objects.get_or_create(id=1, defaults={"epoch": str(uuid.uuid4())})
        known = {field.name for field in species_model._meta.concrete_fields}
        rows: list[tuple[str, str, dict[str, Any] | None]] = []
        for entry in json.loads(SPECIES_FILE.read_text("utf-8"))["species"]:
            values = {name: value for name, value in entry.items() if name in known and name != "slug"}
            species_model.objects.update_or_create(slug=entry["slug"], defaults=values)
            shown = {name: entry[name] for name in ("name", "latin", "habit", "techniques")}
            rows.append(("species", entry["slug"], shown))
        feed.publish(feed.lock_head(), rows)
