"""The app in German: chosen on the phone, kept without a network, whole on a small screen."""

from __future__ import annotations

from playwright.sync_api import Page, expect

from nursery.science.tags import make

from . import walking
from .conftest import Opener
from .server import Server
from .test_large_text import CUT

TAGS = [make("K", n + 1) for n in range(44)]
SMALL = {"width": 360, "height": 640}
#: Words of a label that run out of it, keys that lie over each other, and parts wider than their room.
CROWDED = """() => {
    const boxes = parts => parts.filter(part => part.getClientRects().length && !part.closest(".unseen"));
    const wide = [...document.querySelectorAll(".cell i")].filter(word => {
        const text = document.createRange();
        text.selectNodeContents(word);
        return text.getBoundingClientRect().width > word.clientWidth + 1;
    });
    const rows = [...document.querySelectorAll(".head, .tools, .go, .opts, .pair, .foot, .who")];
    const over = rows.flatMap(row => {
        const parts = boxes([...row.querySelectorAll("button, h1")]);
        return parts.filter((part, n) => parts.slice(n + 1).some(other => {
            const [a, b] = [part.getBoundingClientRect(), other.getBoundingClientRect()];
            return Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1
                && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 1;
        }));
    });
    const rooms = [...document.querySelectorAll(".about, .page, .inside, .foot, .head")];
    const past = rooms.filter(room => room.scrollWidth > room.clientWidth + 1);
    return [...wide, ...over, ...past].map(part => part.outerHTML.slice(0, 90));
}"""
#: Whether the page itself, and not its worker, has loaded the German texts.
LOADED = "() => performance.getEntriesByType('resource').some(one => one.name.includes('/german-'))"


def _faults(page: Page) -> list[str]:
    found: list[str] = []
    for width, height in ((390, 844), (360, 640)):
        page.set_viewport_size({"width": width, "height": height})
        found += [*page.evaluate(CUT), *page.evaluate(CROWDED)]
    return found


def _speak(page: Page, language: str) -> None:
    page.locator(f"[data-setting-language][data-value={language}]").click()
    expect(page.locator("html")).to_have_attribute("lang", language)


def test_a_walk_in_german_without_a_network(server: Server, open_browser: Opener) -> None:
    server.fill("bench44")
    server.start()
    page = open_browser("a", locale="en-US").new_page()
    origin = f"http://localhost:{server.port}"
    walking.pair(page, origin, server.pairing_code("Phone A"))
    expect(page.get_by_text("South bench").first).to_be_visible()
    walking.worker_ready(page)
    server.kill()
    page.set_viewport_size(SMALL)
    walking.open_bench(page, "South bench")
    walking.check(page, "wire", "biting")
    assert page.evaluate(LOADED) is False

    # In the middle of the walk: drawn anew at once, and nothing of it is lost.
    page.goto(f"{origin}/bench/#/phone")
    _speak(page, "de")
    expect(page.get_by_role("heading", name="Dieses Telefon")).to_be_visible()
    faults = _faults(page)
    page.locator("[data-action=back]").click()
    expect(page.get_by_text("Rundgang offen: 1 angesehen.")).to_be_visible()
    faults += _faults(page)

    # Closed and opened again, still out of reach: it speaks German from the first word.
    page.reload()
    walking.open_bench(page, "South bench")
    expect(page.locator(f'[data-tree="{TAGS[0]}"]')).to_contain_text("beißt")
    expect(page.get_by_role("group", name="Draht").get_by_role("button", name="sitzt")).to_be_visible()
    # What the shed had said of the tree, too: it came as data, before German was chosen.
    expect(page.locator("[data-sheet] .why")).to_contain_text("Boden noch nie gefühlt. Noch nie gemessen")
    walking.check(page, "soil", "dry")
    walking.check(page, "buds", "none")
    faults += _faults(page)
    for form in ("caliper", "wire-off", "roots", "work", "left"):
        page.locator("[data-action=more]").click()
        faults += _faults(page)
        page.locator(f"[data-panel=more] [data-action={form}]").click()
        expect(page.locator(f"[data-panel={form}]")).to_be_visible()
        faults += _faults(page)
        if form == "caliper":
            key = page.locator("[data-panel=caliper] [data-action=save]")
            expect(key).to_have_text("Durchmesser tippen")
            page.keyboard.type("0")
            expect(key).to_have_text("Mindestens 0,1 mm")
            page.keyboard.type("18,25")
            expect(page.locator("[data-reading]")).to_have_text("18,2 mm")
            key.click()
            expect(page.locator("[data-panel=caliper]")).to_have_count(0)
        else:
            page.locator(f"[data-panel={form}] [data-action=close]").click()

    page.locator("[data-action=walk-sum]").click()
    expect(page.get_by_text("1 von 44 Bäumen angesehen: 1 Stamm gemessen.")).to_be_visible()
    for title in (
        "Heute Draht abschneiden: 1",
        "Gießen: 1",
        "Unten keine Nadelknospen: 1",
        "Noch fällig: 43",
    ):
        expect(page.get_by_role("heading", name=title)).to_be_visible()
    expect(page.get_by_text("Drahtenden springen: Schutzbrille auf")).to_be_visible()
    faults += _faults(page)
    assert faults == []

    server.start()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.headers.get("accept-language", "")))
    walking.hand_over(page)
    expect(page.locator("[data-sync=done]")).to_contain_text("Nichts wartet. 5 Einträge abgegeben")
    assert set(asked) == {"de"}
    assert server.ask("select mm from nursery_caliper") == [(18.2,)]


def test_a_phone_that_speaks_german_is_met_in_german(server: Server, open_browser: Opener) -> None:
    server.fill("bench44")
    server.start()
    page = open_browser("a", locale="de-AT").new_page()
    page.set_viewport_size(SMALL)
    page.goto(f"http://localhost:{server.port}/bench/")
    expect(page.get_by_role("button", name="Telefon verbinden")).to_be_visible()
    expect(page.locator("html")).to_have_attribute("lang", "de")
    faults = _faults(page)
    walking.pair(page, f"http://localhost:{server.port}", server.pairing_code("Phone A"))
    expect(page.get_by_text("44 Bäume.")).to_be_visible()
    page.locator("[data-action=phone]").click()
    faults += _faults(page)
    _speak(page, "en")
    expect(page.get_by_role("heading", name="This phone")).to_be_visible()
    page.reload()
    expect(page.get_by_role("heading", name="This phone")).to_be_visible()
    assert page.evaluate(LOADED) is False
    assert faults == []
