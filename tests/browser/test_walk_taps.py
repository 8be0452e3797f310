"""A whole walk by the thumb: every tap is counted, for the tree that it was made on."""

from __future__ import annotations

from collections import Counter

from playwright.sync_api import Page, expect

from nursery.science.tags import make

from . import walking
from .conftest import Opener
from .server import Server

TAGS = [make("K", n + 1) for n in range(60)]
#: What is found on five of the sixty trees; every fourth one, from the first, is wired.
FINDINGS = {
    TAGS[4]: {"wire": "biting", "soil": "moist"},
    TAGS[9]: {"soil": "dry"},
    TAGS[20]: {"wire": "marking", "soil": "moist"},
    TAGS[33]: {"buds": "none", "soil": "moist"},
    TAGS[48]: {"wire": "sunk_in", "soil": "dry"},
}


class Thumb:
    """Taps on the screen, counted by the tree at hand."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.taps: Counter[str] = Counter()

    @property
    def here(self) -> str:
        return self.page.locator("[data-sheet]").get_attribute("data-here") or ""

    def tap(self, key: str) -> None:
        self.taps[self.here] += 1
        self.page.locator(key).tap()

    def look_at(self, tag: str) -> None:
        """One tree as it is found, and on to the next."""
        expect(self.page.locator(f'[data-sheet][data-here="{tag}"]')).to_be_visible()
        for what, value in FINDINGS.get(tag, {}).items():
            key = walking.answer(what, value)
            self.tap(key)
            expect(self.page.locator(key)).to_have_attribute("aria-pressed", "true")
        self.tap("[data-action=next]" if tag in FINDINGS else "[data-action=fine]")


def _listed(page: Page, title: str) -> list[str | None]:
    part = page.locator(".part", has=page.get_by_role("heading", name=title))
    return [one.get_attribute("data-sum-tree") for one in part.locator("[data-sum-tree]").all()]


def _in_walking_order() -> list[str]:
    rows = [TAGS[start : start + 15] for start in range(0, 60, 15)]
    return [tag for number, row in enumerate(rows) for tag in (row if number % 2 == 0 else row[::-1])]


def test_sixty_trees_take_two_taps_each_and_four_with_a_finding(server: Server, open_browser: Opener) -> None:
    server.fill("bench60")
    server.start()
    page = open_browser("a").new_page()
    walking.pair(page, f"http://localhost:{server.port}", server.pairing_code("Phone A"))
    walking.open_bench(page, "South bench")
    thumb = Thumb(page)
    for tag in _in_walking_order():
        thumb.look_at(tag)
    assert sorted(thumb.taps) == sorted(TAGS)
    assert max(count for tag, count in thumb.taps.items() if tag not in FINDINGS) <= 2
    assert max(count for tag, count in thumb.taps.items() if tag in FINDINGS) <= 4

    page.locator("[data-action=next]").tap()  # "Walk done"
    expect(page.get_by_role("heading", name="Wires to cut off today")).to_be_visible()
    assert _listed(page, "Wires to cut off today") == [TAGS[4], TAGS[48]]
    expect(page.get_by_text("Wire ends spring: glasses on")).to_be_visible()
    assert _listed(page, "Pots to water") == [TAGS[9], TAGS[48]]
    assert _listed(page, "Wire begins to mark") == [TAGS[20]]
    assert _listed(page, "No needle buds low down") == [TAGS[33]]
    assert _listed(page, "Still due") == []
    page.locator("[data-action=walk-end]").tap()
    expect(page.locator("[data-screen=walk][data-ended=true]")).to_be_visible()
    walking.hand_over(page)
    [(soils,)] = server.ask(
        "select count(distinct tree) from nursery_journalrecord"
        " where device is not null and kind = 'soil_check'"
    )
    assert soils == 60
