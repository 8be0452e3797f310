"""A walk planned at the shed, walked on a phone with the server gone."""

from __future__ import annotations

import re
import subprocess
import sys

from playwright.sync_api import BrowserContext, Page, expect

from nursery.science.tags import make

from . import shed, walking
from .conftest import Opener
from .server import ROOT, Server

TAGS = [make("K", n + 1) for n in range(11)]
#: Along South bench (row 2 is walked back): wire, buds, buds, wire; on North bench a dry pot.
STOPS = [TAGS[0], TAGS[1], TAGS[7], TAGS[4], TAGS[10]]


def _fill(server: Server) -> None:
    words = [sys.executable, "-m", "tests.browser.fill_plan"]
    done = subprocess.run(words, cwd=ROOT, env=server.env, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


def _shows_stops(page: Page) -> None:
    """The planned stops in their order, waited for: a click does not wait for the page it leads to."""
    expect(page.locator(".board.walk .tag").filter(has_text=re.compile(r"\S"))).to_have_text(STOPS)


def _phone(server: Server, open_browser: Opener) -> tuple[BrowserContext, Page]:
    context = open_browser("a")
    page = context.new_page()
    walking.pair(page, f"http://localhost:{server.port}", server.pairing_code("Phone A"))
    walking.worker_ready(page)
    expect(page.locator("[data-plan]")).to_be_visible()
    return context, page


def _look(page: Page) -> None:
    """All that this tree is asked for."""
    for what, value in (("wire", "snug"), ("soil", "moist"), ("buds", "many")):
        key = page.locator(f'[data-check="{what}"][data-value="{value}"]')
        if key.count():
            walking.check(page, what, value)


def test_a_plan_made_at_the_shed_is_walked_without_it(server: Server, open_browser: Opener) -> None:
    _fill(server)
    server.start()
    desk = open_browser("desk").new_page()
    shed.come_in(desk, server)
    desk.get_by_role("link", name="Plan a walk").click()
    desk.get_by_label("Minutes").fill("4")
    desk.get_by_role("button", name="Plan it").click()
    _shows_stops(desk)
    desk.get_by_role("button", name="Take this plan to the phones").click()
    expect(desk.get_by_role("status")).to_contain_text("The whole nursery, 5 stops")

    context, page = _phone(server, open_browser)
    server.kill()
    expect(page.locator("[data-plan]")).to_have_attribute("data-left", "5")
    page.locator("[data-plan]").click()
    expect(page.locator("[data-stop]")).to_have_count(5)
    assert page.locator("[data-stop]").evaluate_all("all => all.map(one => one.dataset.stop)") == STOPS
    page.locator("[data-action=plan-on]").click()
    for tag in STOPS[:2]:
        expect(page.locator(f'[data-here="{tag}"]')).to_be_visible()
        _look(page)
        walking.following(page)
    expect(page.locator(f'[data-here="{STOPS[2]}"]')).to_be_visible()
    walking.place_kept(page, STOPS[2])
    context.close()  # the phone dies on the walk

    page = open_browser("a").new_page()
    page.goto(f"http://localhost:{server.port}/bench/")
    expect(page.locator(f'[data-here="{STOPS[2]}"]')).to_be_visible()  # it opens at the stop where it was
    expect(page.locator(".head")).to_contain_text("Plan: 3 of 5 stops left")
    for tag in STOPS[2:]:
        expect(page.locator(f'[data-here="{tag}"]')).to_be_visible()
        _look(page)
        walking.following(page)
    expect(page.locator("[data-screen=plan]")).to_have_attribute("data-left", "0")
    expect(page.get_by_text("All 5 stops looked at")).to_be_visible()

    server.start()
    walking.hand_over(page)
    looked = server.ask(
        "select distinct t.tag from nursery_journalrecord r join nursery_tree t on t.id = r.tree"
        " where r.device is not null"
    )
    assert {tag for (tag,) in looked} == set(STOPS)
    assert server.ask("select count(*) from nursery_wireinspection where state = 'snug'") == [(2,)]
