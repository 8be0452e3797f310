"""``manage.py build_frontend``: build the bench app and compile the catalogues while developing."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from frontend import catalogues, node


class Command(BaseCommand):
    help = "Build the bench app and its worker into frontend/dist, and compile the catalogues of texts."
    # The check that warns of a missing build would only say what is being done about it.
    requires_system_checks: list[str] = []

    def handle(self, *args: Any, **options: Any) -> None:
        """Build; a failure is told in the tool's own words."""
        try:
            compiled = catalogues.compile_all()
            dist = node.build()
        except (node.BuildFailed, catalogues.NotCompiled) as error:
            raise CommandError(str(error)) from None
        self.stdout.write(f"Built: {dist}, and {len(compiled)} catalogues of texts")
