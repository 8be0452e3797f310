"""Every screen for hands, eyes and readers: axe-core finds nothing, and nothing runs off the side.

Reference: axe-core (Deque), rules for WCAG 2.2 A and AA, AAA contrast, and best practices.
"""

from __future__ import annotations

import json
import uuid
from collections.abc import Iterator

import pytest
from playwright.sync_api import Page, expect

from frontend import node
from nursery.science.tags import make

from . import shed, walking
from .conftest import DESK, PHONE, Opener
from .server import Server

WAYS = [(size, scheme) for size in (PHONE, DESK) for scheme in ("light", "dark")]
SHED = [
    "/",
    "/ready/",
    "/ready/branches/",
    "/ready/by/lot/thickness/",
    "/held-back/",
    "/wires/",
    "/walk/",
    "/benches/",
    "/benches/add/",
    "/benches/add-trees/",
    "/tags/",
    "/trees/",
    "/set-aside/",
    "/set-aside/doubles/",
    "/set-aside/same-id/",
    "/set-aside/clocks/",
    "/phones/",
    "/phones/hand-over/",
    "/phones/trust/",
    "/backups/",
    "/people/",
    "/people/password/",
    "/site/",
    "/practice/",
    "/practice/kept-word/",
    "/offline/",
    "/no-such-page/",
]
AXE_RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


@pytest.fixture(scope="module")
def axe() -> str:
    node.install(tests=True)
    return (node.FRONTEND / "node_modules/axe-core/axe.min.js").read_text(encoding="utf-8")


def _faults(page: Page, axe: str, name: str) -> Iterator[str]:
    """What axe finds on the page as it stands, at each size and in light and dark; one line a fault."""
    page.evaluate(axe)
    for size, scheme in WAYS:
        page.set_viewport_size({"width": size["width"], "height": size["height"]})
        page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
        where = f"{name} {size['width']} {scheme}"
        found = page.evaluate(
            """async rules => (await axe.run(document, {
                runOnly: {type: 'tag', values: rules}, rules: {'color-contrast-enhanced': {enabled: true}},
            })).violations.map(v => [v.id, v.nodes.map(n => n.html.slice(0, 120))])""",
            AXE_RULES,
        )
        for rule, places in found:
            yield f"{where}: {rule}: {json.dumps(places[:3])}"
        wide = page.evaluate("() => document.documentElement.scrollWidth - innerWidth")
        if wide > 0:
            yield f"{where}: {wide} px run off the side"


def test_the_shed(server: Server, open_browser: Opener, axe: str) -> None:
    server.fill("bench44")
    server.start()
    origin = f"http://localhost:{server.port}"
    page = open_browser("desk").new_page()
    shed.open_entry(page, server)
    faults = list(_faults(page, axe, "entry"))
    shed.sign_on(page)
    [(tree,)] = server.ask("select id from nursery_tree where tag = ?", make("K", 1))
    [(bench,)] = server.ask("select id from nursery_bench")
    server.manage("device", "add", "Waiting phone")
    for path in [*SHED, f"/trees/{uuid.UUID(tree)}/", f"/benches/{uuid.UUID(bench)}/"]:
        page.goto(origin + path)
        page.evaluate("document.querySelectorAll('details').forEach(fold => fold.open = true)")
        faults += _faults(page, axe, path)
    page.goto(origin)
    page.get_by_role("button", name="Sign out").click()
    page.goto(f"{origin}/sign-in/")
    faults += _faults(page, axe, "sign-in")
    assert faults == []


def test_the_bench_app(server: Server, open_browser: Opener, axe: str) -> None:
    server.fill("bench44")
    server.manage("plan_walk", "--to-phones")
    server.start()
    page = open_browser("a").new_page()
    page.goto(f"http://localhost:{server.port}/bench/")
    expect(page.locator("[data-screen=pair]")).to_be_visible()
    faults = list(_faults(page, axe, "pair"))
    walking.pair(page, f"http://localhost:{server.port}", server.pairing_code("Phone A"))
    expect(page.get_by_text("South bench").first).to_be_visible()
    walking.worker_ready(page)
    session = page.context.new_cdp_session(page)
    assert session.send("Page.getInstallabilityErrors")["installabilityErrors"] == []
    faults += _faults(page, axe, "benches")
    page.locator("[data-action=jump]").first.click()
    page.locator("[data-field=jump]").fill("K041E")
    faults += _faults(page, axe, "jump")
    page.locator("[data-action=scan]").click()
    expect(page.locator("[data-scan=refused]")).to_be_visible()
    faults += _faults(page, axe, "scan")
    page.locator("[data-action=type]").click()
    page.locator("[data-action=close]").click()
    page.locator("[data-plan]").click()
    expect(page.locator("[data-stop]").first).to_be_visible()
    faults += _faults(page, axe, "plan")
    page.locator("[data-action=back]").first.click()
    walking.open_bench(page, "South bench")
    walking.check(page, "wire", "biting")
    faults += _faults(page, axe, "bench")
    page.set_viewport_size({"width": PHONE["width"], "height": PHONE["height"]})
    page.locator("[data-action=rest]").click()
    faults += _faults(page, axe, "rest")
    page.set_viewport_size({"width": PHONE["width"], "height": PHONE["height"]})
    page.locator("[data-panel=rest] [data-action=close]").click()
    page.locator("[data-action=more]").click()
    page.locator("[data-panel=more] [data-action=roots]").click()
    page.locator("[data-sector='5']").click()
    page.locator("[data-level][data-value=no]").click()
    faults += _faults(page, axe, "roots")
    page.set_viewport_size({"width": PHONE["width"], "height": PHONE["height"]})
    page.locator("[data-panel=roots] [data-action=close]").click()
    page.locator("[data-action=records]").first.click()
    expect(page.locator("[data-screen=records]")).to_be_visible()
    faults += _faults(page, axe, "records")
    page.locator("[data-action=back]").first.click()
    page.locator("[data-action=back]").first.click()
    page.locator("[data-action=phone]").first.click()
    expect(page.locator("[data-screen=phone]")).to_be_visible()
    faults += _faults(page, axe, "phone")
    assert faults == []
