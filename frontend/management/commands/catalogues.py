"""``manage.py catalogues``: compile the catalogues of texts while developing."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from frontend import catalogues


class Command(BaseCommand):
    help = "Compile the catalogues of texts; with --update, first bring them up to the sources."
    # The check that warns of catalogues not compiled would only say what is being done about it.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--update",
            action="store_true",
            help="first put new texts into each django.po, untranslated, and take out those that are gone",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Say of each how many texts still wait for a translator."""
        try:
            if options["update"]:
                self._update()
            done = catalogues.compile_all()
        except catalogues.NotCompiled as error:
            raise CommandError(str(error)) from None
        for mo in done:
            self.stdout.write(f"Compiled: {mo}")

    def _update(self) -> None:
        # Here, because a compiled installation needs no Babel to serve.
        from frontend.extracting import translated, update

        for po in catalogues.sources():
            kept = update(po)
            waiting = sum(1 for text in kept if text.id and not translated(text))
            self.stdout.write(f"{po}: {len(kept)} texts, {waiting} without a translation")
