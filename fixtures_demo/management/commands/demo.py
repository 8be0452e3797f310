"""``manage.py demo``: an invented nursery in an empty database."""

from argparse import ArgumentParser
from time import monotonic
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError

from fixtures_demo.fill import fill
from nursery import serving
from nursery.errors import MishoError


class Command(BaseCommand):
    help = "Fill an empty database with an invented nursery (same seed, same nursery)."
    told = 0

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--trees", type=int, default=600, help="trees on the benches now (10 to 20000)")
        parser.add_argument("--years", type=int, default=12, help="years of records (1 to 40)")

    def handle(self, *args: Any, **options: Any) -> None:
        seed, trees, years = int(options["seed"]), int(options["trees"]), int(options["years"])
        if not (seed >= 0 and 10 <= trees <= 20000 and 1 <= years <= 40):
            raise CommandError("Use --seed from 0, --trees 10 to 20000 and --years 1 to 40.")
        self.migrate()
        begun = monotonic()
        self.stdout.write(f"Inventing a nursery of {trees} trees and {years} years ...")
        self.stdout.flush()
        try:
            records = fill(seed=seed, trees=trees, years=years, progress=self.say)
        except MishoError as fault:
            raise CommandError(f"{fault.message} {fault.mend}".strip()) from fault
        self.stdout.write(f"  {records} records in {monotonic() - begun:.0f} s.")
        self.stdout.flush()

    def migrate(self) -> None:
        """A database that nobody served yet has no tables: make them, as serving would."""
        try:
            serving.check_folder(settings.DATA_DIR)
            serving.check_database()
            call_command("migrate", interactive=False, verbosity=0)
        except MishoError as fault:
            raise CommandError(f"{fault.message} {fault.mend}".strip()) from fault
        except DatabaseError as fault:
            said = serving.database_fault(fault)
            raise CommandError(f"{said.message} {said.mend}") from fault

    def say(self, what: str, done: int, of: int) -> None:
        """A line for every fifth of the records, and one for the standings."""
        fifth = 5 * done // of
        if what == "records" and fifth > self.told:
            self.told = fifth
            self.stdout.write(f"  {done} of {of} records taken in")
        elif what == "standings" and not done:
            self.stdout.write("  rolling up the standings")
        self.stdout.flush()
