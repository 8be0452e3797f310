"""What Django's system check asks of the front end."""

from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Warning

from frontend.node import BUILT


def bench_app_is_built(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    """Warn, in one line, when there is no build. No error: a backup must not need the front end."""
    if all((settings.DIST_DIR / name).is_file() for name in BUILT):
        return []
    return [
        Warning(
            "The bench app is not built: run `pip install -e .` or `python manage.py build_frontend`",
            id="frontend.W001",
        )
    ]
