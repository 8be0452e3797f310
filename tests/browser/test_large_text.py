"""Text twice as large, by the phone's setting and this app's: nothing is cut, axe finds nothing.

Reference: WCAG 2.2, success criterion 1.4.4 (text resized to 200% without loss of content or function).
"""

from __future__ import annotations

from playwright.sync_api import Page, expect

from . import test_plain_to_all as plain
from . import walking
from .conftest import Opener
from .server import Server

axe = plain.axe
LARGE = "--blink-settings=defaultFontSize=21"

#: Texts that run out of what holds them, or off the screen; what is scrolled sideways by design is left out.
CUT = """() => [...document.querySelectorAll("button, h1, h2, h3, p, b, small, dt, dd, label, .tag")]
    .filter(part => part.getClientRects().length && !part.closest(".slats, .tools, .unseen"))
    .filter(part => {
        const box = part.getBoundingClientRect();
        return box.left < -1 || box.right > innerWidth + 1 || part.scrollWidth > part.clientWidth + 1
            && getComputedStyle(part).display !== "inline";
    })
    .map(part => part.outerHTML.slice(0, 90))"""


def _cut(page: Page) -> list[str]:
    found: list[str] = []
    for width, height in ((360, 640), (390, 844)):
        page.set_viewport_size({"width": width, "height": height})
        found += page.evaluate(CUT)
    return found


def _form(page: Page, name: str) -> list[str]:
    page.locator("[data-action=more]").click()
    page.locator(f"[data-panel=more] [data-action={name}]").click()
    expect(page.locator(f"[data-panel={name}]")).to_be_visible()
    found = _cut(page)
    page.locator(f"[data-panel={name}] [data-action=close]").click()
    return found


def test_large_text_is_whole_on_a_small_phone(server: Server, open_browser: Opener, axe: str) -> None:
    server.fill("bench44")
    server.start()
    # A third more by the browser's own setting, half as much again by the app's: 32 px instead of 16.
    page = open_browser("a", flags=[LARGE]).new_page()
    walking.pair(page, f"http://localhost:{server.port}", server.pairing_code("Phone A"))
    page.locator("[data-action=phone]").click()
    page.locator("[data-setting-text][data-value=largest]").click()
    page.locator("[data-setting-hand][data-value=left]").click()
    size = page.evaluate("() => parseFloat(getComputedStyle(document.documentElement).fontSize)")
    assert 31 < size < 33
    faults = _cut(page) + list(plain._faults(page, axe, "phone, largest text"))
    page.set_viewport_size({"width": 390, "height": 844})
    page.locator("[data-action=back]").click()
    expect(page.get_by_text("South bench").first).to_be_visible()
    faults += _cut(page)
    walking.open_bench(page, "South bench")
    walking.check(page, "wire", "biting")
    faults += _cut(page) + list(plain._faults(page, axe, "bench, largest text"))
    page.set_viewport_size({"width": 390, "height": 844})
    for name in ("caliper", "roots", "wire-off", "note"):
        faults += _form(page, name)
    # Held in the left hand, the key used most is the first and lies on the left.
    keys = page.locator("[data-sheet] .go button")
    assert [key.get_attribute("data-action") for key in keys.all()] == ["next", "fine", "more", "undo"]
    assert faults == []
