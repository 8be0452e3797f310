"""Phones from the terminal: let one in, list them, shut one out."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db.models import F

from nursery import people
from nursery.errors import MishoError
from nursery.models import Device, Role


class Command(BaseCommand):
    help = "Pair, list and revoke phones."

    def add_arguments(self, parser: ArgumentParser) -> None:
        does = parser.add_subparsers(dest="does", required=True)
        add = does.add_parser("add", help="print a one-time code that pairs a phone within ten minutes")
        add.add_argument("name", help="what the phone will be called")
        add.add_argument("--role", choices=Role.values, default=Role.HELPER.value)
        does.add_parser("list", help="list the phones")
        revoke = does.add_parser("revoke", help="shut a phone out")
        revoke.add_argument("name")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            if options["does"] == "add":
                self._add(options["name"], options["role"])
            elif options["does"] == "list":
                self._list()
            else:
                self._revoke(options["name"])
        except MishoError as error:
            raise CommandError(f"{error.message} {error.mend}".strip()) from None

    def _add(self, name: str, role: str) -> None:
        if not name.strip():
            raise CommandError("Give the phone a name, by which it can be listed and revoked.")
        code = people.make_pairing_code(name, role)
        self.stdout.write(
            f"{code}\n"
            f"Open the bench app on the phone (the address that `serve` prints, then /bench/) and type this\n"
            f"code there within ten minutes. It works once, and makes a {role}'s phone called {name}."
        )

    def _list(self) -> None:
        phones = Device.objects.order_by(F("revoked_at").desc(nulls_first=True), "name")
        if not phones:
            self.stdout.write("No phone is paired yet: `device add NAME` prints a code for one.")
        for phone in phones:
            seen = f"seen {phone.seen_at:%Y-%m-%d %H:%M}" if phone.seen_at else "never seen"
            state = f"revoked {phone.revoked_at:%Y-%m-%d %H:%M}" if phone.revoked_at else seen
            self.stdout.write(f"{phone.name}\t{phone.role}\tpaired {phone.paired_at:%Y-%m-%d}\t{state}")

    def _revoke(self, name: str) -> None:
        phone = Device.objects.filter(name=name, revoked_at__isnull=True).first()
        if phone is None:
            raise CommandError(f"No phone in use is called {name}. `device list` shows their names.")
        people.revoke(phone)
        self.stdout.write(
            f"{name} is shut out. What it has not handed over stays on it and can still be saved to a file."
        )
