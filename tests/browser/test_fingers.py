"""What a real finger does to the keys of a tree's sheet: a touch presses once, a swipe not at all."""

from __future__ import annotations

from playwright.sync_api import CDPSession, Page, expect

from . import walking
from .conftest import Opener
from .server import Server

#: Every click that any part of the page hears, by what is on the key.
HEAR = """() => {
    window.heard = [];
    const name = key => key.dataset.value ?? key.dataset.action;
    addEventListener("click", ({target}) => heard.push(name(target.closest("button"))), true);
}"""


class Finger:
    def __init__(self, page: Page) -> None:
        self.page = page
        self.cdp: CDPSession = page.context.new_cdp_session(page)

    def touch(self, key: str, *, away: int = 0) -> None:
        """Lay it on the middle of a key, draw it so many pixels down the glass, and lift it."""
        box = self.page.locator(key).bounding_box()
        assert box, f"{key} is not in sight"
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        self._send("touchStart", x, y)
        for down in range(10, away + 1, 10):
            self._send("touchMove", x, y + down)
        self._send("touchEnd")

    def _send(self, what: str, *at: float) -> None:
        points = [{"x": at[0], "y": at[1]}] if at else []
        self.cdp.send("Input.dispatchTouchEvent", {"type": what, "touchPoints": points})


def test_a_touch_presses_once_and_a_swipe_does_not(server: Server, open_browser: Opener) -> None:
    server.fill("bench60")
    server.start()
    page = open_browser("a").new_page()
    walking.pair(page, f"http://localhost:{server.port}", server.pairing_code("Phone A"))
    walking.open_bench(page, "South bench")
    finger = Finger(page)
    page.evaluate(HEAR)
    here = page.locator("[data-sheet]")

    finger.touch(walking.answer("soil", "dry"))
    expect(page.locator(walking.answer("soil", "dry"))).to_have_attribute("aria-pressed", "true")
    walking.expect_waiting(page, 2)
    finger.touch(walking.answer("soil", "wet"), away=60)
    finger.touch(walking.answer("soil", "moist"))
    expect(page.locator(walking.answer("soil", "moist"))).to_have_attribute("aria-pressed", "true")
    walking.expect_waiting(page, 3)
    following = page.locator("[data-action=next]")
    for press in (lambda: finger.touch("[data-action=next]"), lambda: following.press("Enter")):
        tag = following.get_attribute("data-next")
        press()
        # Whatever else the browser makes of a touch comes before the key that is pressed after it.
        expect(here).to_have_attribute("data-here", tag or "")
    assert page.evaluate("heard") == ["dry", "moist", "next", "next"]
    walking.expect_waiting(page, 3)
