"""What all tests share."""

import os
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.utils import translation
from hypothesis import HealthCheck
from hypothesis import settings as examples

from tests.ground import FOLDER

# No deadline: a slow moment of the machine is no fault of the code. In CI the same examples each time, so
# that what lands is what was seen to pass; by hand new ones each run.
examples.register_profile(
    "house",
    deadline=None,
    derandomize=bool(os.environ.get("CI")),
    suppress_health_check=[HealthCheck.too_slow],
)
examples.load_profile("house")

#: A random UUID in a test's name: another one in each process, and the workers fall out with each other.
_MADE_AT_RANDOM = re.compile(r"[0-9a-f]{8}-(?!0000)[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-")


#: Files that take minutes, the longest first: begun last, one keeps a worker busy while the other is idle.
_LONGEST = (
    "tests/postgres/test_suite_pages.py",
    "tests/postgres/test_suite_intake.py",
    "tests/faults/test_faults.py",
    "tests/keeping/test_kills.py",
    "tests/browser/",
    "tests/lan/",
    "tests/house/",
)


def _rank(item: pytest.Item) -> int:
    return next((at for at, start in enumerate(_LONGEST) if item.nodeid.startswith(start)), len(_LONGEST))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Refuse names that differ from process to process, each time and not only when the clock jumps."""
    items.sort(key=_rank)
    if odd := [item.nodeid for item in items if _MADE_AT_RANDOM.search(item.nodeid)]:
        raise pytest.UsageError(f"Give these cases ids of their own (pytest.param(..., id=)): {odd}")


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings: None) -> None:
    """Test on a database in a file, as a nursery has it: one in memory locks otherwise than the real one."""
    from django.conf import settings

    default = settings.DATABASES["default"]
    if default["ENGINE"] == "django.db.backends.sqlite3":
        default.setdefault("TEST", {})["NAME"] = str(Path(FOLDER.name) / "tests.sqlite3")


@pytest.fixture(autouse=True)
def _plain_static(settings: pytest.FixtureRequest) -> None:
    """Pages are tested without a front-end build; the browser tests choose their own storage."""
    settings.STORAGES = {  # type: ignore[attr-defined]
        **settings.STORAGES,  # type: ignore[attr-defined]
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }


@pytest.fixture(autouse=True)
def _own_language() -> Iterator[None]:
    """A page asked for in German leaves its thread in German: the next test begins anew."""
    yield
    translation.deactivate()


@pytest.fixture
def photos(tmp_path: Path, settings: pytest.FixtureRequest) -> Iterator[Path]:
    """A photo folder of this test's own."""
    settings.MEDIA_ROOT = tmp_path / "photos"  # type: ignore[attr-defined]
    return tmp_path / "photos"
