"""``manage.py serve``: everything up to date, then the server, and where to go."""

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.urls import reverse

from nursery import serving
from nursery.errors import MishoError
from nursery.models import JournalRecord
from nursery.people import make_entry_link, owner_exists


class Command(BaseCommand):
    help = "Bring everything up to date and serve Misho."
    # Our own checks come first and say each fault in one sentence.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--host", default="127.0.0.1", help="0.0.0.0: phones on this network too")
        parser.add_argument(
            "--demo", action="store_true", help="fill an empty database with an invented nursery first"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        host, port = str(options["host"]), int(options["port"])
        try:
            serving.check_build(settings.DIST_DIR)
            serving.check_folder(settings.DATA_DIR)
            serving.check_port(host, port)
            serving.check_database()
            serving.set_up()
            if options["demo"] and not JournalRecord.objects.exists():
                call_command("demo", stdout=self.stdout)
            serving.catch_up()
        except MishoError as fault:
            raise CommandError(f"{fault.message} {fault.mend}".strip()) from fault
        serving.run(host, port, lambda: self.say_where(host, port))

    def say_where(self, host: str, port: int) -> None:
        at = serving.address(host, port)
        self.stdout.write(f"Misho is served at {at}/ (Ctrl+C ends it)")
        if not owner_exists():
            link = reverse("enter", args=[make_entry_link("owner")])
            self.stdout.write("Nobody owns this nursery yet. Open this link once to choose your name")
            self.stdout.write(f"and password:  {at}{link}")
        self.stdout.flush()
