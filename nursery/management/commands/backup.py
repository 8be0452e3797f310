"""``manage.py backup FILE``: one file of everything that must be kept, while serving."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from nursery import keeping


class Command(BaseCommand):
    help = "Write one file of all records, people, phones and photos; verified by reading it back."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        target: Path = options["file"]
        try:
            manifest = keeping.back_up(target, say=self.stdout.write)
        except keeping.CannotBackUp as fault:
            raise CommandError(f"{fault.message} {fault.mend}") from None
        records = manifest.members["tables/journal.jsonl"].rows
        self.stdout.write(f"{target}: {records} records, verified. Keep it on another disk.")
