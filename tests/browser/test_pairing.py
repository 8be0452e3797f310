"""A phone gets in by the shed's QR code; one that may only look has no way to record."""

from __future__ import annotations

import re

from playwright.sync_api import expect

from nursery.science.tags import make

from . import walking
from .conftest import Opener
from .server import Server


def test_the_qr_code_fills_the_pairing_code_in(server: Server, open_browser: Opener) -> None:
    server.fill("bench44")
    server.start()
    code = server.pairing_code("Phone A")
    page = open_browser("a").new_page()
    page.goto(f"http://localhost:{server.port}/bench/#pair={code}")
    expect(page.locator("[data-field=code]")).to_have_value(code)
    page.locator("[data-action=pair]").click()
    expect(page.locator("[data-screen=benches]")).to_be_visible()
    assert code not in page.url
    assert server.ask("select count(*) from nursery_device where name = 'Phone A'") == [(1,)]


def test_a_phone_that_may_look_only_offers_nothing_to_record(server: Server, open_browser: Opener) -> None:
    server.fill("bench44")
    server.start()
    said = server.manage("device", "add", "Guest", "--role", "viewer")
    found = re.search(r"\b[0-9A-Z]{4}-[0-9A-Z]{4}\b", said)
    assert found
    page = open_browser("guest").new_page()
    walking.pair(page, f"http://localhost:{server.port}", found.group())
    expect(page.locator("[data-screen=benches]")).to_contain_text("may look only")
    walking.open_bench(page, "South bench")
    walking.choose(page, make("K", 2))
    expect(page.get_by_text("This phone may look, but not record.")).to_be_visible()
    for hook in ("[data-check]", "[data-action=fine]", "[data-action=more]", "[data-due-form]"):
        expect(page.locator(hook)).to_have_count(0)
    for action in ("rest", "bench-soil"):
        expect(page.locator(f"[data-action={action}]")).to_be_disabled()
    page.locator("[data-action=row-soil]").first.click()
    expect(page.locator("[data-panel]")).to_have_count(0)
    page.locator("[data-action=walk-sum]").click()
    walking.expect_waiting(page, 0)
    assert server.ask("select count(*) from nursery_journalrecord where device is not null") == [(0,)]
