"""``manage.py hand_over FILE``: take in the records of a phone that could not sync."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from nursery.keeping import BadHandOver, handover


class Command(BaseCommand):
    help = "Take in the file of unsynced records that a phone saved; the same as a sync."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "--readable", action="store_true", help="of a damaged file, take in the records that can be read"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        path: Path = options["file"]
        try:
            with path.open("rb") as file:
                data = file.read(handover.LIMIT + 1)
        except OSError as fault:
            raise CommandError(f"{path} cannot be read: {fault.strerror or fault}.") from None
        try:
            tally = handover.take(handover.read(data, readable=options["readable"]))
        except BadHandOver as fault:
            raise CommandError(f"{fault.message} {fault.mend}") from None
        for line in tally.lines():
            self.stdout.write(line)
