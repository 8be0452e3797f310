"""What Django's system check asks of the front end."""

from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Warning

from frontend import catalogues
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


def catalogues_are_compiled(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    """Warn when a catalogue is not compiled, or not since it was changed: its texts would be English."""
    waiting = catalogues.stale()
    if not waiting:
        return []
    names = ", ".join(str(po.relative_to(catalogues.ROOT)) for po in waiting)
    return [
        Warning(
            f"Not compiled: {names}. Run `pip install -e .` or `python manage.py catalogues`",
            id="frontend.W002",
        )
    ]
