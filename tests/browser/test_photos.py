"""A picture taken on the walk, out of reach of the shed: kept through a kill, handed over, seen there."""

from __future__ import annotations

import io
import re
from pathlib import Path

import numpy as np
from PIL import Image
from playwright.sync_api import Page, expect

from nursery.science.tags import make
from tests.photos import hostile as h
from tests.science.photo_scenes import WIDTH, scene

from . import shed, walking
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
    expect(phone.get_by_text("South bench").first).to_be_visible()
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
    # It is told in the form, not behind it too, and goes with it.
    expect(phone.locator("[data-fault]")).to_have_count(1)
    phone.locator("[data-panel=photo] [data-action=close]").click()
    expect(phone.locator("[data-fault]")).to_have_count(0)
    phone.locator("[data-action=photo]").first.click()
    # A camera left without a picture, as browsers tell of it, closes nothing.
    phone.locator("[data-field=photo]").dispatch_event("cancel", {"bubbles": True})
    # The next picture has the name of the bad one.
    with phone.expect_file_chooser() as chooser:
        phone.locator("[data-action=camera]").click()
    chooser.value.set_files(_camera(tmp_path, shot))
    expect(phone.locator("[data-shot]")).to_be_visible()
    expect(phone.locator("[data-panel=photo] [data-fault]")).to_have_count(0)
    phone.locator("[data-panel=photo] [data-action=close]").click()
    truth = _measure(phone, tmp_path)
    # The app is killed, and opened again without the shed.
    phone.close()
    phone = phone.context.new_page()
    phone.goto(f"{origin}/bench/")
    expect(phone.locator('[data-photos-waiting="2"]').first).to_be_visible()

    server.start()
    phone.locator("[data-action=records]").first.click()
    expect(phone.locator('[data-photos="2"]')).to_be_visible()
    walking.hand_over(phone)
    expect(phone.locator("[data-photos-waiting]")).to_have_count(0)
    expect(phone.locator("[data-sync=done]")).to_contain_text("Nothing waits.")
    kept = server.ask("select width, height, reason from nursery_photofile order by width")
    assert kept == [(1280, 960, ""), (1536, 2048, "")]
    [(mm, sd, method, of)] = server.ask(
        "select mm, sd_mm, method, photo from nursery_caliper where method <> ''"
    )
    assert abs(mm / truth - 1) < 0.02
    assert (method, sd < 0.02 * mm) == ("photo", True)
    assert server.ask(f"select width from nursery_photofile where id = '{of}'") == [(1280,)]
    _shed_shows(server, open_browser)


def _measure(page: Page, folder: Path) -> float:
    """Take a rendered picture of a tag beside a trunk, tap both edges, and save; gives the true diameter."""
    made = scene(np.random.default_rng(7), tilt_deg=20.0, mm=31.0, edge_mm=22.0)
    page.locator("[data-action=photo]").first.click()
    with page.expect_file_chooser() as chooser:
        page.locator("[data-action=camera]").click()
    chooser.value.set_files(_camera(folder, h.saved(made.image, quality=92)))
    page.locator("[data-action=measure]").click()
    plate = page.locator("[data-plate] img")
    plate.scroll_into_view_if_needed()
    box = plate.bounding_box()
    assert box
    for x, y in made.taps:
        page.mouse.click(box["x"] + x / WIDTH * box["width"], box["y"] + y / WIDTH * box["width"])
    expect(page.locator("[data-photo-reading]")).to_have_attribute("data-photo-reading", re.compile(r"\d"))
    page.locator("[data-panel=photo] [data-action=save]").click()
    expect(page.locator("[data-panel=photo]")).to_have_count(0)
    return made.mm


def _shed_shows(server: Server, open_browser: Opener) -> None:
    page = open_browser("desk", DESK).new_page()
    shed.come_in(page, server)
    page.goto(f"http://localhost:{server.port}/trees/?tag={FIRST}")
    expect(page.locator(".shots li")).to_have_count(2)
    listed = page.locator(".shots li", has_text="leader from the south")
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
