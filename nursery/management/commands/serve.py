"""``manage.py serve``: everything up to date, then the server, and where to go."""

import os
import sys
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError
from django.urls import reverse

from nursery import serving
from nursery.errors import MishoError
from nursery.lan import Secure
from nursery.models import JournalRecord
from nursery.people import make_entry_link, owner_exists


class Command(BaseCommand):
    help = "Bring everything up to date and serve Misho."
    # Our own checks come first and say each fault in one sentence.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--host", help="default 127.0.0.1; 0.0.0.0: phones on this network too")
        parser.add_argument(
            "--lan",
            action="store_true",
            help="https for phones on this network, with a certificate of its own",
        )
        parser.add_argument(
            "--plain-port",
            type=int,
            help="with --lan: the page that says how to trust it (default: port + 1)",
        )
        parser.add_argument(
            "--demo", action="store_true", help="fill an empty database with an invented nursery first"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        lan, port = bool(options["lan"]), int(options["port"])
        host = str(options["host"] or ("0.0.0.0" if lan else "127.0.0.1"))
        if lan and not settings.SECURE:
            # Cookies that go by https only are a setting, and settings are read once: start anew with it.
            os.environ["MISHO_SECURE"] = "1"
            os.execv(sys.executable, sys.orig_argv)
        try:
            serving.check_build(settings.DIST_DIR)
            serving.check_folder(settings.DATA_DIR)
            serving.check_port(host, port)
            serving.check_database()
            serving.set_up()
            if options["demo"] and not JournalRecord.objects.exists():
                call_command("demo", stdout=self.stdout)
            serving.catch_up()
            secure = self.secure(host, port, options["plain_port"]) if lan else None
        except MishoError as fault:
            raise CommandError(f"{fault.message} {fault.mend}".strip()) from fault
        except DatabaseError as fault:
            said = serving.database_fault(fault)
            raise CommandError(f"{said.message} {said.mend}") from fault
        except OSError as fault:
            # A full disk, or a file in the data folder that somebody else owns.
            raise CommandError(f"The data folder {settings.DATA_DIR} cannot be used: {fault}.") from fault
        serving.run(host, port, lambda: self.say_where(host, port, secure), secure)

    def secure(self, host: str, port: int, plain_port: int | None) -> Secure:
        plain = port + 1 if plain_port is None else plain_port
        serving.check_port(host, plain)
        return Secure(settings.DATA_DIR, host, port, plain)

    def say_where(self, host: str, port: int, secure: Secure | None) -> None:
        at = secure.addresses[0].rstrip("/") if secure else serving.address(host, port)
        self.stdout.write(f"Misho is served at {at}/ (Ctrl+C ends it)")
        if secure:
            self.stdout.write(f"A phone that does not trust it yet starts at {secure.plain_address}")
            self.stdout.write(f"Fingerprint to compare: {secure.mark}")
        if not owner_exists():
            link = reverse("enter", args=[make_entry_link("owner")])
            self.stdout.write("Nobody owns this nursery yet. Open this link once to choose your name")
            self.stdout.write(f"and password:  {at}{link}")
        self.stdout.flush()
