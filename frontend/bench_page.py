"""The one page of the bench app: the same for everyone and without data, so that a phone can keep it."""

import json
from functools import lru_cache
from pathlib import Path
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.views.decorators.http import require_safe

#: The entry's name in Vite's manifest.
ENTRY = "bench/app/main.tsx"
NOT_BUILT = "The bench app is not built: run `pip install -e .` or `python manage.py build_frontend`"


@lru_cache(maxsize=2)
def _entry(manifest: Path, _changed: int) -> dict[str, Any]:
    parts: dict[str, dict[str, Any]] = json.loads(manifest.read_text(encoding="utf-8"))
    return parts[ENTRY]


def built() -> dict[str, Any] | None:
    """The entry of the build: ``file`` and ``css`` below the static root.

    None where there is none.
    """
    manifest = Path(settings.DIST_DIR) / ".vite" / "manifest.json"
    try:
        # A running server keeps to the files that it collected: a newer build waits for a restart.
        return _entry(manifest, manifest.stat().st_mtime_ns if settings.DEBUG else 0)
    except (OSError, KeyError, ValueError):
        return None


@require_safe
def bench_app(request: HttpRequest) -> HttpResponse:
    """Serve the shell. 503 and one line of what to run, where the front end is not built."""
    entry = built()
    if entry is None:
        return HttpResponse(NOT_BUILT, status=503, content_type="text/plain; charset=utf-8")
    page = render(
        request,
        "bench/index.html",
        {
            "script": static(entry["file"]),
            "styles": [static(name) for name in entry.get("css", [])],
        },
    )
    # The worker fetches it anew with each version; a copy in between could name files that are gone.
    page.headers["Cache-Control"] = "no-cache"
    return page
