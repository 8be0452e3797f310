"""The one page of the bench app, which every phone keeps."""

import json
import re
from pathlib import Path

import pytest
from django.test import Client

ENTRY = {
    "bench/app/main.tsx": {
        "file": "assets/main-abc.js",
        "css": ["assets/main-def.css"],
        "isEntry": True,
    },
}


@pytest.fixture
def manifest(settings, tmp_path: Path) -> Path:
    """A build that consists of its manifest."""
    settings.DIST_DIR = tmp_path
    path = tmp_path / ".vite" / "manifest.json"
    path.parent.mkdir()
    path.write_text(json.dumps(ENTRY))
    return path


def test_the_page_names_the_hashed_files_of_the_build(client: Client, manifest: Path) -> None:
    answer = client.get("/bench/")
    page = answer.content.decode()
    assert answer.status_code == 200
    assert '<script defer blocking="render" src="/static/assets/main-abc.js"></script>' in page
    assert '<link rel="stylesheet" href="/static/assets/main-def.css">' in page
    assert '<link rel="manifest" href="/manifest.json">' in page


@pytest.mark.parametrize(("debug", "script"), [(False, "main-abc.js"), (True, "main-xyz1.js")])
def test_a_running_server_keeps_to_its_build(
    client: Client, manifest: Path, settings, debug: bool, script: str
) -> None:
    settings.DEBUG = debug
    client.get("/bench/")
    manifest.write_text(json.dumps(ENTRY).replace("main-abc", "main-xyz1"))
    assert f"/static/assets/{script}" in client.get("/bench/").content.decode()


def test_the_page_is_the_same_for_everyone(client: Client, manifest: Path) -> None:
    # Without the django_db mark any query would fail; a cookie would make the kept copy one person's.
    answer = client.get("/bench/")
    assert answer.cookies == {}
    assert answer["Cache-Control"] == "no-cache"


def test_the_page_holds_to_the_strict_policy(client: Client, manifest: Path) -> None:
    answer = client.get("/bench/")
    assert "script-src 'self'" in answer["Content-Security-Policy"]
    assert not re.search(r"<style|\sstyle=|\son[a-z]+=|<script(?![^>]*\bsrc=)", answer.content.decode())


@pytest.mark.parametrize("spoil", ["missing", "broken", "of something else"])
def test_without_a_build_one_line_says_what_to_run(client: Client, manifest: Path, spoil: str) -> None:
    if spoil == "missing":
        manifest.unlink()
    else:
        manifest.write_text("{" if spoil == "broken" else "{}")
    answer = client.get("/bench/")
    assert answer.status_code == 503
    assert answer["Content-Type"] == "text/plain; charset=utf-8"
    assert answer.content.decode() == (
        "The bench app is not built: run `pip install -e .` or `python manage.py build_frontend`"
    )


def test_the_page_is_only_read(client: Client, manifest: Path) -> None:
    assert client.post("/bench/").status_code == 405
