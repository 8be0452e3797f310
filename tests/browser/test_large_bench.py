"""A bench of 800 trees: only what is in sight is drawn, yet thumb, keyboard and search reach each tree."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from nursery.science.tags import make

from . import walking
from .conftest import DESK, PHONE, Opener
from .server import Server
from .test_bench_screens import IN_SIGHT

FIRST, BELOW, LAST = make("K", 1), make("K", 41), make("K", 800)
#: A phone shows about 30 trees; what lies around them is drawn too.
MOST_DRAWN = 200


def _in_sight(page: Page, tag: str) -> None:
    cell = page.locator(f'[data-tree="{tag}"]')
    expect(cell).to_have_attribute("aria-current", "true")
    page.wait_for_function(f"tag => ({IN_SIGHT})(document.querySelector(`[data-tree=${{tag}}]`))", arg=tag)


def test_each_of_800_trees_is_within_reach(server: Server, open_browser: Opener) -> None:
    server.fill("bench800")
    server.start()
    page = open_browser("a").new_page()
    walking.pair(page, f"http://localhost:{server.port}", server.pairing_code("Phone A"))
    walking.open_bench(page, "South bench")
    _in_sight(page, FIRST)
    drawn = page.locator("[data-tree]")
    page.wait_for_function("() => document.querySelectorAll('[data-tree]').length > 30")
    assert drawn.count() < MOST_DRAWN
    expect(page.locator(f'[data-tree="{LAST}"]')).to_have_count(0)

    page.locator("[data-action=jump]").click()
    page.locator("[data-field=jump]").fill(LAST)
    page.locator(f'[data-found="{LAST}"]').click()
    _in_sight(page, LAST)
    assert drawn.count() < MOST_DRAWN
    walking.check(page, "soil", "dry")
    expect(page.locator(f'[data-tree="{LAST}"]')).to_have_attribute("data-look", "hand")

    # The finger moves the bench back; the tree at hand stays drawn for keyboard and reader.
    page.locator(".grid-room").evaluate("room => room.scrollTo(0, 0)")
    page.locator(".slats").evaluate("slats => slats.scrollTo(0, 0)")
    walking.choose(page, FIRST)
    _in_sight(page, FIRST)
    page.locator(f'[data-tree="{FIRST}"]').focus()
    page.keyboard.press("ArrowDown")
    _in_sight(page, BELOW)
    expect(page.locator(f'[data-tree="{BELOW}"]')).to_be_focused()
    page.keyboard.press("End")
    _in_sight(page, make("K", 80))

    page.locator("[data-action=rest]").click()
    page.locator("[data-action=rest-save]").click()
    # One walk begun, one dry pot, and for all others soil, and wire on every fourth.
    walking.expect_waiting(page, 2 + 799 + 200)
    expect(page.get_by_text("800 of 800 looked at")).to_be_visible()


#: The app's memory is opened at its own layout's number; the first look asks for whatever is there.
HELD = """(() => {
    const open = IDBFactory.prototype.open;
    const let_go = new Promise((go) => (window.let_go = go));
    IDBFactory.prototype.open = function (...given) {
        if (given.length < 2 || window.free) return open.apply(this, given);
        let asked;
        const kept = {};
        for (const name of ["result", "error", "transaction"]) {
            Object.defineProperty(kept, name, {get: () => asked[name]});
        }
        const names = ["onsuccess", "onerror", "onblocked", "onupgradeneeded"];
        let_go.then(() => {
            window.free = true;
            asked = open.apply(this, given);
            for (const name of names) asked[name] = (event) => kept[name]?.call(asked, event);
        });
        return kept;
    };
})()"""


#: Whether the memory was asked for anything before the bench was drawn.
EARLY = """(() => {
    const open = IDBFactory.prototype.open;
    IDBFactory.prototype.open = function (...given) {
        window.early ??= !document.querySelector("[data-tree]");
        return open.apply(this, given);
    };
})()"""


@pytest.mark.parametrize("left", [True, False], ids=["left", "killed"])
def test_opened_again_it_shows_what_is_in_sight_and_takes_taps_before_it_has_read_the_rest(
    server: Server, open_browser: Opener, left: bool
) -> None:
    server.fill("bench800")
    server.start()
    origin = f"http://localhost:{server.port}"
    before = open_browser("a").new_page()
    walking.pair(before, origin, server.pairing_code("Phone A"))
    walking.worker_ready(before)
    walking.open_bench(before, "South bench")
    walking.check(before, "soil", "dry")
    if not left:
        before.evaluate(walking.MUTE)
    before.close()
    before.context.close()
    server.kill()

    page = open_browser("a").new_page()
    page.add_init_script(HELD)
    page.add_init_script(EARLY)
    page.goto(f"{origin}/bench/")
    _in_sight(page, FIRST)
    page.wait_for_function("() => window.early !== undefined")
    assert page.evaluate("window.early") is not left
    expect(page.get_by_text("1 of 800 looked at")).to_be_visible()
    walking.expect_waiting(page, 2)
    key = page.locator('[data-check="soil"][data-value="wet"]')
    key.click()
    page.locator("[data-action=rest]").click()
    # No tap is called saved before it is on the disk, and none is about a part of the bench only.
    expect(key).to_have_attribute("aria-pressed", "false")
    expect(page.locator("[data-panel]")).to_have_count(0)

    page.evaluate("window.let_go()")
    expect(key).to_have_attribute("aria-pressed", "true")
    walking.expect_waiting(page, 3)
    page.locator("[data-action=rest-save]").click()
    expect(page.get_by_text("800 of 800 looked at")).to_be_visible()
    page.reload()
    walking.expect_waiting(page, 3 + 799 + 200)
    expect(page.get_by_text("800 of 800 looked at")).to_be_visible()


#: How many places of 20 rows by 40 are in sight, and those where no pot is drawn. [row, place]
BARE = """([row, place]) => {
    const here = document.querySelector("[data-tree][aria-current]").getBoundingClientRect();
    const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
    const slat = document.querySelector(".slat").getBoundingClientRect().height;
    const room = document.querySelector(".slats").getBoundingClientRect();
    const {top, bottom} = document.querySelector(".grid-room").getBoundingClientRect();
    const step = here.width + 0.25 * rem;
    const bare = [];
    let seen = 0;
    for (let r = 1; r <= 20; r++) for (let p = 1; p <= 40; p++) {
        const x = here.x + (p - place) * step, y = here.y + (r - row) * slat;
        // Of what is in sight by less than a few pixels nothing is asked.
        const [from, to] = [Math.max(x, room.left), Math.min(x + here.width, room.right)];
        const [above, below] = [Math.max(y, top), Math.min(y + here.height, bottom)];
        if (to - from < 6 || below - above < 6) continue;
        seen += 1;
        const found = document.elementFromPoint((from + to) / 2, (above + below) / 2);
        if (!found?.closest("[data-tree]")) bare.push([r, p]);
    }
    return [seen, bare];
}"""


@pytest.mark.parametrize(
    ("size", "least", "left"), [(PHONE, 25, True), (DESK, 100, False)], ids=["phone, left", "desk, killed"]
)
def test_opened_again_no_place_in_sight_is_bare_wherever_the_walk_stands(
    server: Server, open_browser: Opener, size: dict[str, int], least: int, left: bool
) -> None:
    server.fill("bench800")
    server.start()
    origin = f"http://localhost:{server.port}"
    page = open_browser("a", size).new_page()
    walking.pair(page, origin, server.pairing_code("Phone A"))
    walking.worker_ready(page)
    walking.open_bench(page, "South bench")
    walking.check(page, "soil", "dry")
    for row, place in ((10, 20), (11, 3), (5, 39), (20, 38)):
        tag = make("K", (row - 1) * 40 + place)
        page.locator("[data-action=jump]").click()
        page.locator("[data-field=jump]").fill(tag)
        page.locator(f'[data-found="{tag}"]').click()
        _in_sight(page, tag)
        if not left:
            page.evaluate(walking.MUTE)
        page.close()
        page.context.close()

        held = open_browser("a", size).new_page()
        held.add_init_script(HELD)
        held.goto(f"{origin}/bench/")
        _in_sight(held, tag)
        seen, bare = held.evaluate(BARE, [row, place])
        assert (bare, seen >= least) == ([], True), f"{tag}: {seen} places in sight"
        held.evaluate("window.let_go()")
        page = held
