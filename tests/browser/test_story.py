"""The main job end to end: walk a bench without the server, hand over at the shed, see what is ready."""

from __future__ import annotations

from datetime import date

from playwright.sync_api import Page, expect

from nursery.science.tags import make

from . import shed, walking
from .conftest import Opener
from .proxy import Wire
from .server import Server

TAGS = [make("K", n + 1) for n in range(44)]
#: Rows are walked as a serpentine: every second row from its far end back.
WALK = [*TAGS[:11], *TAGS[11:22][::-1], *TAGS[22:33], *TAGS[33:][::-1]]
WIRED = set(TAGS[::4])


def test_tags_of_the_bench_are_44_and_11_are_wired() -> None:
    assert (len(WALK), len(set(WALK)), len(WIRED)) == (44, 44, 11)


def _walk(page: Page, tags: list[str]) -> None:
    """Soil and buds on every tree, wire where there is one; the first wire is found biting."""
    for tag in tags:
        expect(page.locator(f'[data-here="{tag}"]')).to_be_visible()
        if tag in WIRED:
            walking.check(page, "wire", "biting" if tag == TAGS[0] else "snug")
        walking.check(page, "soil", "dry" if tag == TAGS[5] else "moist")
        walking.check(page, "buds", "many")
        walking.following(page)


def _buds(server: Server, tag: str) -> float:
    [(p,)] = server.ask(
        "select s.buds_p from nursery_standing s join nursery_tree t on t.id = s.tree_id where t.tag = ?", tag
    )
    return float(p)


def _from_phone(server: Server) -> dict[str, int]:
    return dict(
        server.ask("select kind, count(*) from nursery_journalrecord where device is not null group by kind")
    )


def test_a_walk_without_the_server_reaches_it_once(server: Server, wire: Wire, open_browser: Opener) -> None:
    server.fill("bench44")
    server.start()
    origin = f"http://localhost:{wire.port}"
    context = open_browser("a")
    page = context.new_page()
    walking.pair(page, origin, server.pairing_code("Phone A"))
    walking.worker_ready(page)
    expect(page.get_by_text("South bench").first).to_be_visible()
    before = _buds(server, TAGS[0])

    server.kill()
    page.close()
    page = context.new_page()
    page.goto(f"{origin}/bench/")
    walking.open_bench(page, "South bench")
    _walk(page, WALK[:20])
    expected = 1 + 20 * 2 + len(WIRED & set(WALK[:20]))
    walking.expect_waiting(page, expected)

    walking.place_kept(page, WALK[20])
    context.close()  # the phone dies in the middle of the walk
    context = open_browser("a")
    page = context.new_page()
    page.goto(f"{origin}/bench/")
    walking.expect_waiting(page, expected)
    expect(page.locator("[data-screen=bench]")).to_be_visible()  # it opens where it was
    _walk(page, WALK[20:])
    walking.expect_waiting(page, 100)
    assert _from_phone(server) == {}

    wire.lose_next_push()  # before the server is there: the phone may offer its records unasked
    server.start()
    page.locator("[data-action=sync]").first.click()
    assert wire.answer_lost.wait(60)
    assert b"200" in wire.lost[0].split(b"\r\n")[0]  # the server had stored and said so; nobody heard
    walking.hand_over(page)

    once = {"walk_started": 1, "wire_look": 11, "soil_check": 44, "bud_check": 44}
    assert _from_phone(server) == once
    assert server.ask("select count(distinct id) from nursery_journalrecord where device is not null") == [
        (100,)
    ]
    assert before < 0.6 < 0.8 < _buds(server, TAGS[0])

    _board_shows(server, open_browser)
    _second_phone_sees(server, open_browser)


def _board_shows(server: Server, open_browser: Opener) -> None:
    """The owner comes in by the one-time link, and the biting wire leads the board."""
    page = open_browser("desk").new_page()
    shed.come_in(page, server)
    page.goto(f"http://localhost:{server.port}/wires/")
    first = page.locator("tbody tr:has(a[href^='/trees/'])").first
    expect(first).to_contain_text(TAGS[0])
    expect(first).to_contain_text("biting")


def _second_phone_sees(server: Server, open_browser: Opener) -> None:
    page = open_browser("b").new_page()
    walking.pair(page, f"http://localhost:{server.port}", server.pairing_code("Phone B"))
    walking.open_bench(page, "South bench")
    walking.choose(page, TAGS[0])
    sheet = page.locator("[data-sheet]")
    expect(sheet).to_contain_text("biting")
    expect(sheet).to_contain_text(str(date.today().year))
