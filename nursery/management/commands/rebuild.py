"""``manage.py rebuild``: make all typed rows and standings anew from the journal."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from nursery import journal
from nursery.models import JournalRecord, Tree


class Command(BaseCommand):
    help = "Make every typed row and standing anew from the journal. Records themselves are never touched."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--check",
            action="store_true",
            help="rebuild twice and fail where the second time changes anything",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        journal.rebuild()
        if options["check"]:
            before = journal.fingerprint()
            journal.rebuild(chunk=777)
            if journal.fingerprint() != before:
                raise CommandError("The second rebuild changed something: this is a fault of the program.")
        records, trees = JournalRecord.objects.count(), Tree.objects.count()
        aside = JournalRecord.objects.set_aside().count()
        self.stdout.write(f"Made {trees} trees anew from {records} records; {aside} are set aside.")
