"""``manage.py import_trees FILE.csv``: a grower's own list, all of it or nothing."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from nursery.importing import ListRefused, bring_in


class Command(BaseCommand):
    help = "Bring a grower's list of trees in: CSV with headings such as tag, species, sown year, bench."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", help="the list: CSV in UTF-8")

    def handle(self, *args: Any, **options: Any) -> None:
        path = Path(str(options["file"]))
        try:
            data = path.read_bytes()
        except OSError as fault:
            raise CommandError(f"The file {path} can't be read: {fault.strerror or fault}.") from fault
        try:
            brought = bring_in(data)
        except ListRefused as refused:
            for told in refused.faults:
                self.stderr.write(str(told))
            raise CommandError(refused.message) from refused
        trees = "1 tree was" if brought.trees == 1 else f"{brought.trees} trees were"
        self.stdout.write(f"{trees} brought in.")
        if brought.benches:
            self.stdout.write(f"New benches: {', '.join(brought.benches)}.")
        if brought.left_out:
            self.stdout.write(
                f"Columns that Misho does not know were left out: {', '.join(brought.left_out)}."
            )
