"""Make every tree's standing anew as of today (or another day)."""

from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from nursery import thickness
from nursery.rollup import roll_up_all
from nursery.rollup.wire_fit import learned_words


class Command(BaseCommand):
    help = "Make every tree's standing anew. Run it once a day, shortly after midnight."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--refit", action="store_true", help="first learn anew from the nursery's own wires and trunks"
        )
        parser.add_argument("--today", default="", help="the day to reckon from, such as 2026-06-01")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            today = date.fromisoformat(options["today"]) if options["today"] else None
        except ValueError as error:
            raise CommandError(
                f"--today: {options['today']!r} is no day. Write it as year-month-day, such as 2026-06-01."
            ) from error
        count = roll_up_all(today, refit=options["refit"])
        if options["refit"]:
            self.stdout.write(learned_words())
            self.stdout.write(thickness.learned_words())
        self.stdout.write(f"Standings made of {count} tree{'' if count == 1 else 's'}.")
