"""What all tests share."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.ground import FOLDER


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


@pytest.fixture
def photos(tmp_path: Path, settings: pytest.FixtureRequest) -> Iterator[Path]:
    """A photo folder of this test's own."""
    settings.MEDIA_ROOT = tmp_path / "photos"  # type: ignore[attr-defined]
    return tmp_path / "photos"
