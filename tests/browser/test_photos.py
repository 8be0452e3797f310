"""A picture taken on the walk, out of reach of the shed: kept through a kill, handed over, seen there."""

from __future__ import annotations

import io
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, expect

from nursery.science.tags import make
from tests.photos import hostile as h

from . import walking
from .conftest import DESK, Opener
from .server import Server

FIRST = make("K", 1)


def _camera(folder: Path, data: bytes) -> Path:
    """What the phone's camera would hand to the page."""
    path = folder / "camera.jpg"
    path.write_bytes(data)
    return path


def _take(page: Page, file: Path, caption: str = "") -> None:
    page.locator("[data-action=photo]").first.click()
    with page.expect_file_chooser() as chooser:
        page.locator("[data-action=camera]").click()
    chooser.value.set_files(file)
    expect(page.locator("[data-shot]")).to_be_visible()
    if caption:
        page.locator("[data-field=caption]").fill(caption)
    page.locator("[data-panel=photo] [data-action=save]").click()
    expect(page.locator("[data-panel=photo]")).to_have_count(0)


def test_a_picture_taken_offline_is_on_the_tree_s_page(
    server: Server, open_browser: Opener, tmp_path: Path
) -> None:
    server.fill("bench44")
    server.start()
    phone = open_browser("phone").new_page()
    origin = f"http://localhost:{server.port}"
    walking.pair(phone, origin, server.pairing_code("Phone A"))
    walking.worker_ready(phone)
    server.kill()

    walking.open_bench(phone, "South bench")
    # Lying on its side, 12 million points, and with a place in its notes.
    shot = h.saved(h.scene(4000, 3000), exif=h.notes(6))
    _take(phone, _camera(tmp_path, shot), "leader from the south")
    expect(phone.locator('[data-photos-waiting="1"]')).to_be_visible()
    expect(phone.locator("[data-said=saved]")).to_be_visible()
    # A file that is none: told, and the form stays open for another.
    phone.locator("[data-action=photo]").first.click()
    with phone.expect_file_chooser() as chooser:
        phone.locator("[data-action=camera]").click()
    chooser.value.set_files(_camera(tmp_path, h.SVG))
    expect(phone.locator("[data-panel=photo] [data-fault]")).to_contain_text(
        "no picture that this phone can read"
    )
    expect(phone.locator("[data-panel=photo] [data-action=save]")).to_be_disabled()
    # The app is killed, and opened again without the shed.
    phone.close()
    phone = phone.context.new_page()
    phone.goto(f"{origin}/bench/")
    expect(phone.locator('[data-photos-waiting="1"]').first).to_be_visible()

    server.start()
    phone.locator("[data-action=records]").first.click()
    expect(phone.locator('[data-photos="1"]')).to_be_visible()
    walking.hand_over(phone)
    expect(phone.locator("[data-photos-waiting]")).to_have_count(0)
    expect(phone.locator("[data-sync=done]")).to_contain_text("Nothing waits.")
    assert server.ask("select width, height, reason from nursery_photofile") == [(1536, 2048, "")]
    _shed_shows(server, open_browser)


def _shed_shows(server: Server, open_browser: Opener) -> None:
    page = open_browser("desk", DESK).new_page()
    page.goto(f"http://localhost:{server.port}{server.entry_link()}")
    page.get_by_label("Name").fill("hana")
    for field in page.locator("input[type=password]").all():
        field.fill("a long enough secret")
    page.locator("main form button").first.click()
    page.goto(f"http://localhost:{server.port}/trees/?tag={FIRST}")
    listed = page.locator(".shots li")
    expect(listed).to_have_count(1)
    expect(listed).to_contain_text("leader from the south")
    image = listed.locator("img")
    image.scroll_into_view_if_needed()
    page.wait_for_function("e => e.complete && e.naturalWidth > 0", arg=image.element_handle())
    address = listed.locator("a").get_attribute("href")
    assert address
    kept = page.context.request.get(f"http://localhost:{server.port}{address}").body()
    assert h.PLACE not in kept
    with Image.open(io.BytesIO(kept)) as picture:
        # Upright: turned a quarter to the right, the dark left edge is the top one.
        assert picture.size == (1536, 2048)
        grey = picture.convert("L")
        assert grey.getpixel((768, 40)) < 60 < grey.getpixel((768, 2000))  # type: ignore[operator]
