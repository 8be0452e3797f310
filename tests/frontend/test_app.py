"""What the phone's browser is given to install, and what says that it is missing."""

import json
from pathlib import Path

import pytest
from django.core.checks import run_checks
from django.test import Client
from PIL import Image

from frontend import icons


@pytest.fixture
def built(settings, tmp_path: Path) -> Path:
    """A build folder that holds a worker and Vite's manifest."""
    (tmp_path / ".vite").mkdir()
    (tmp_path / ".vite" / "manifest.json").write_text("{}")
    (tmp_path / "worker.js").write_text("// worker\n")
    settings.DIST_DIR = tmp_path
    return tmp_path


def told() -> list[str]:
    return [str(one.msg) for one in run_checks() if one.id == "frontend.W001"]


def test_a_missing_build_is_told_in_one_line_that_says_what_to_run(built: Path) -> None:
    assert told() == []
    (built / "worker.js").unlink()
    assert told() == [
        "The bench app is not built: run `pip install -e .` or `python manage.py build_frontend`"
    ]


def test_half_a_build_is_no_build(built: Path) -> None:
    (built / ".vite" / "manifest.json").unlink()
    assert len(told()) == 1


def test_the_worker_comes_from_the_root_and_is_kept_by_no_cache(
    client: Client, built: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("pwa.app_settings.PWA_SERVICE_WORKER_PATH", str(built / "worker.js"))
    answer = client.get("/serviceworker.js")
    assert answer.status_code == 200
    assert answer.content == b"// worker\n"
    assert answer["Content-Type"] == "application/javascript"
    assert "no-store" in answer["Cache-Control"]
    assert "no-cache" in answer["Cache-Control"]


def test_the_manifest_has_what_an_installed_app_needs(client: Client) -> None:
    # Members and values: W3C Web Application Manifest, sections 1.2 to 1.16.
    manifest = json.loads(client.get("/manifest.json").content)
    assert {key: manifest[key] for key in ("id", "name", "short_name", "start_url", "scope", "display")} == {
        "id": "/bench/",
        "name": "Misho",
        "short_name": "Misho",
        "start_url": "/bench/",
        "scope": "/",
        "display": "standalone",
    }
    assert [(icon["sizes"], icon["purpose"]) for icon in manifest["icons"]] == [
        ("192x192", "any"),
        ("192x192", "maskable"),
        ("512x512", "any"),
        ("512x512", "maskable"),
    ]
    assert manifest["icons"][0]["src"].startswith("/static/icons/misho-192")


def test_nothing_that_is_given_out_here_runs_inline(client: Client) -> None:
    page = Path("frontend/templates/pwa.html").read_text()
    assert "<script" not in page
    assert "script-src 'self'" in client.get("/manifest.json")["Content-Security-Policy"]


def test_the_committed_icons_are_what_the_script_draws() -> None:
    folder = Path(icons.__file__).parent / "static" / "icons"
    for size in (192, 512):
        with Image.open(folder / f"misho-{size}.png") as kept:
            assert kept.size == (size, size)
            assert kept.convert("RGB").tobytes() == icons.picture(size).tobytes()
    assert (folder / "favicon.svg").read_text() == icons.drawing()


def test_the_mark_keeps_within_the_circle_that_a_phone_may_cut() -> None:
    # W3C Web Application Manifest, "Icon masks and safe zone": a circle of 40% of the size.
    for tone, outline in icons.shapes()[1:]:
        for x, y in outline:
            assert (x - 256) ** 2 + (y - 256) ** 2 <= (0.4 * 512) ** 2, (tone, x, y)
