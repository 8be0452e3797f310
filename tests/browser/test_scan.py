"""Scanning printed tags in real Chromium, with a film for a camera and no network at all."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import urlsplit

import segno
from PIL import Image
from playwright.sync_api import BrowserContext, Page, expect

from nursery.science.tags import make

from . import walking
from .conftest import Opener
from .pictures import FINE, Look, film, label, seen, tag
from .server import Server

TAG = make("K", 41)
#: As a hand holds a phone over a pot: tilt, turn, blur and a shadow over half of the tag.
HAND = [
    Look(tilt=25, turn=10, blur=1.2, shadow=0.5),
    Look(tilt=30, turn=14, slant=-12, blur=1.4, shadow=0.5),
    Look(tilt=28, turn=18, slant=8, blur=1.0, shadow=0.55),
]
#: Harder ones, each taken as a still picture.
STILLS = [
    Look(tilt=45, blur=1.0),
    Look(tilt=20, slant=40, turn=130, blur=1.3, shadow=0.6),
    Look(slant=30, blur=1.2, shadow=0.75),
    Look(tilt=50, turn=60, blur=0.8, shadow=0.5),
    Look(turn=181, distance=190, blur=0.8, noise=8),
]


def _printed(server: Server) -> Image.Image:
    [(tree,)] = server.ask("select id from nursery_tree where tag = ?", TAG)
    return tag(label(TAG, str(tree)))


def _away(server: Server, context: BrowserContext) -> Page:
    """A paired phone, its worker ready, out of reach of the server and of everything else."""
    page = context.new_page()
    walking.pair(page, f"http://localhost:{server.port}", server.pairing_code("Phone A"))
    expect(page.get_by_text("South bench").first).to_be_visible()
    walking.worker_ready(page)
    server.kill()
    context.set_offline(True)
    page.reload()
    expect(page.get_by_text("South bench").first).to_be_visible()
    return page


def _scan(page: Page) -> None:
    page.locator("[data-action=jump]").first.click()
    page.locator("[data-action=scan]").click()
    expect(page.locator("[data-panel=scan]")).to_be_visible()


def test_a_tag_is_read_from_the_camera_and_nothing_leaves_the_machine(
    server: Server, open_browser: Opener, tmp_path: Path
) -> None:
    server.fill("bench44")
    server.start()
    printed = _printed(server)
    shots = [seen(printed, look, seed) for seed, look in enumerate(HAND)]
    flags = [
        "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-video-capture={film(tmp_path / 'hand.y4m', shots)}",
    ]
    context = open_browser("a", flags=flags, permissions=["camera"])
    asked: list[str] = []
    context.on("request", lambda request: asked.append(request.url))
    page = _away(server, context)
    walking.open_bench(page, "South bench")
    _scan(page)
    expect(page.locator(f'[data-sheet][data-here="{TAG}"]')).to_be_visible()
    expect(page.locator("[data-panel]")).to_have_count(0)
    assert any("/zxing_reader-" in url for url in asked)
    assert {urlsplit(url).netloc for url in asked if not url.startswith(("blob:", "data:"))} == {
        f"localhost:{server.port}"
    }


def test_a_foreign_code_before_the_camera_is_told_and_the_keyboard_is_offered(
    server: Server, open_browser: Opener, tmp_path: Path
) -> None:
    server.fill("bench44")
    server.start()
    code = tmp_path / "code.png"
    segno.make_qr("https://shop.example/pots/7").save(str(code), scale=FINE, border=4)
    with Image.open(code) as foreign:
        shots = [seen(foreign.convert("L"), look) for look in HAND]
    flags = [
        "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-video-capture={film(tmp_path / 'foreign.y4m', shots)}",
    ]
    page = _away(server, open_browser("a", flags=flags, permissions=["camera"]))
    _scan(page)
    said = page.locator("[data-scan]")
    expect(said).to_contain_text("A foreign code, not a tag of Misho: it says “https://shop.example/pots/7”.")
    expect(said).to_have_attribute("data-scan", "none")
    page.locator("[data-action=type]").click()
    expect(page.locator("[data-panel=scan]")).to_have_count(0)
    expect(page.locator("[data-field=jump]")).to_be_focused()


def test_without_a_camera_a_still_picture_or_the_keyboard_finds_the_tree(
    server: Server, open_browser: Opener, tmp_path: Path
) -> None:
    server.fill("bench44")
    server.start()
    printed = _printed(server)
    # A camera is there, and the page may not use it.
    page = _away(server, open_browser("a", flags=["--use-fake-device-for-media-stream"]))
    _scan(page)
    said = page.locator("[data-scan]")
    expect(said).to_have_attribute("data-scan", "refused")
    expect(said).to_contain_text("The camera is refused. Allow it for this page in the browser's settings")

    foreign, none = tmp_path / "foreign.png", tmp_path / "none.png"
    segno.make_qr("https://shop.example/pots/7").save(str(foreign), scale=6, border=6)
    none.write_bytes(b"\x89PNG\r\n\x1a\nno picture at all")
    still = page.locator("[data-field=still]")
    still.set_input_files(foreign)
    expect(said).to_contain_text("A foreign code, not a tag of Misho: it says “https://shop.example/pots/7”.")
    still.set_input_files(none)
    expect(said).to_contain_text("This file is no picture that the phone can open.")
    Image.new("L", (640, 480), 120).save(none)
    still.set_input_files(none)
    expect(said).to_contain_text("No code can be read in this picture.")

    page.locator("[data-action=type]").click()
    field = page.locator("[data-field=jump]")
    expect(field).to_be_focused()
    field.fill("K041E")
    expect(page.get_by_text("K041E is misread: its check character")).to_be_visible()
    field.fill(TAG.lower())
    expect(page.locator(f'[data-found="{TAG}"]')).to_be_visible()

    for at, look in enumerate(STILLS):
        shot = tmp_path / f"still{at}.jpg"
        seen(printed, look, at).save(shot, quality=80)
        page.locator("[data-action=scan]").click()
        page.locator("[data-field=still]").set_input_files(shot)
        expect(page.locator(f'[data-tree-page="{TAG}"]')).to_be_visible()
        page.locator("[data-action=back]").first.click()
        page.locator("[data-action=jump]").first.click()
