"""What all tests share. Runs before Django's settings load, so it may choose where data goes."""

import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

# A folder of its own for each worker: keys, photos and (without DATABASE_URL) the database.
_FOLDER = tempfile.TemporaryDirectory(prefix="misho-tests-")
os.environ["MISHO_DATA"] = _FOLDER.name
os.environ.setdefault("MISHO_LOG", "ERROR")


def pytest_unconfigure() -> None:
    _FOLDER.cleanup()


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings: None) -> None:
    """Test on a database in a file, as a nursery has it: one in memory locks otherwise than the real one."""
    from django.conf import settings

    default = settings.DATABASES["default"]
    if default["ENGINE"] == "django.db.backends.sqlite3":
        default.setdefault("TEST", {})["NAME"] = str(Path(_FOLDER.name) / "tests.sqlite3")


@pytest.fixture(autouse=True)
def _plain_static(settings: pytest.FixtureRequest) -> None:
    """Pages are tested without a front-end build; the browser tests choose their own storage."""
    settings.STORAGES = {  # type: ignore[attr-defined]
        **settings.STORAGES,  # type: ignore[attr-defined]
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }


@pytest.fixture
def photos(tmp_path: Path, settings: pytest.FixtureRequest) -> Iterator[Path]:
    """A photo folder of this test's own."""
    settings.MEDIA_ROOT = tmp_path / "photos"  # type: ignore[attr-defined]
    return tmp_path / "photos"
