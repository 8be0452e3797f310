"""Roots are surveyed at the shed by tapping round a circle; the rows that are sent say the same."""

from __future__ import annotations

import json
import math
import uuid

from playwright.sync_api import Page, expect

from nursery.science.tags import make

from . import shed
from .conftest import Opener
from .server import Server


def spot(page: Page, degrees: float) -> tuple[float, float]:
    """Where an angle is on the screen: the front below, clockwise from above."""
    box = page.locator("[data-round] svg").bounding_box()
    assert box
    across = min(box["width"] / 448, box["height"] / 400)
    middle = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    angle = math.radians(degrees)
    return middle[0] - 118 * across * math.sin(angle), middle[1] + 118 * across * math.cos(angle)


def tap(page: Page, degrees: float) -> None:
    page.touchscreen.tap(*spot(page, degrees))


def test_tapping_dragging_and_taking_out(server: Server, open_browser: Opener) -> None:
    server.fill("bench44")
    server.start()
    page = open_browser("phone").new_page()
    shed.come_in(page, server)
    [(tree,)] = server.ask("select id from nursery_tree where tag = ?", make("K", 1))
    page.goto(f"http://localhost:{server.port}/trees/{uuid.UUID(tree)}/")
    page.get_by_text("Root survey", exact=True).click()
    page.locator("[data-round] svg").scroll_into_view_if_needed()
    for degrees in (0, 90, 200, 300):
        tap(page, degrees)
    tap(page, 90)  # chosen again
    tap(page, 90)  # and out
    page.mouse.move(*spot(page, 300))
    page.mouse.down()
    page.mouse.move(*spot(page, 250), steps=4)
    page.mouse.up()
    expect(page.locator("[data-said]")).to_contain_text("3 roots; largest gap 200°.")
    page.get_by_label("Root 3, thickness").select_option("5")
    page.get_by_label("Root 1, level").select_option("no")
    page.get_by_label("crossing roots").check()
    page.get_by_role("button", name="Record the roots").click()
    expect(page.get_by_text("Root survey recorded.")).to_be_visible()
    expect(page.locator("svg.rose:not(.draw) line")).to_have_count(3)
    [(body,)] = server.ask("select body from nursery_journalrecord where kind = ?", "root_survey")
    found = json.loads(body)
    assert found["defects"] == ["crossing"]
    assert [(root["grade"], root["level"]) for root in found["roots"]] == [(3, False), (5, True), (3, True)]
    for root, degrees in zip(found["roots"], (0, 200, 250), strict=True):
        assert min(abs(root["deg"] - degrees), 360 - abs(root["deg"] - degrees)) <= 2
