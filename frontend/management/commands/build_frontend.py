"""``manage.py build_frontend``: build the bench app while developing."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from frontend import node


class Command(BaseCommand):
    help = "Build the bench app and its worker into frontend/dist."
    # The check that warns of a missing build would only say what is being done about it.
    requires_system_checks: list[str] = []

    def handle(self, *args: Any, **options: Any) -> None:
        """Build; a failure is told in the tool's own words."""
        try:
            dist = node.build()
        except node.BuildFailed as error:
            raise CommandError(str(error)) from None
        self.stdout.write(f"Built: {dist}")
