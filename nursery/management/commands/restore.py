"""``manage.py restore FILE``: make the site what it was when the file was written."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from nursery import keeping


class Command(BaseCommand):
    help = "Verify a backup and put it in the place of this site: all of it, or nothing."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--replace", action="store_true", help="also where this site holds something")
        parser.add_argument(
            "--without-copy", action="store_true", help="do not keep the present site in backups/ first"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            manifest = keeping.restore(
                options["file"],
                replace=options["replace"],
                keep_old=not options["without_copy"],
                say=self.stdout.write,
            )
        except (keeping.BadBackup, keeping.CannotRestore) as fault:
            raise CommandError(f"{fault.message} {fault.mend}") from None
        records = manifest.members["tables/journal.jsonl"].rows
        self.stdout.write(
            f"Restored {records} records as of {manifest.made_at[:16].replace('T', ' ')} UTC. Each phone"
            " offers again what it has recorded since, as soon as it is opened at the shed."
        )
