"""The walk's taps, each against what the server then holds."""

from __future__ import annotations

import json
import re
from pathlib import Path

from playwright.sync_api import Page, expect

from nursery.science.tags import make

from . import walking
from .conftest import Opener
from .server import Server

TAGS = [make("K", n + 1) for n in range(44)]
#: The first tree carries a wire, the second none.
WIRED, BARE = TAGS[0], TAGS[1]


def _away(server: Server, open_browser: Opener) -> Page:
    """A paired phone on the bench, out of reach of the server."""
    server.fill("bench44")
    server.start()
    page = open_browser("a").new_page()
    walking.pair(page, f"http://localhost:{server.port}", server.pairing_code("Phone A"))
    expect(page.get_by_text("South bench").first).to_be_visible()
    server.kill()
    walking.open_bench(page, "South bench")
    return page


def _home(server: Server, page: Page) -> None:
    server.start()
    page.locator("[data-action=records]").click()
    walking.hand_over(page)


def _soils(server: Server) -> dict[str, str]:
    """The soil word of each tree that has a soil check in force."""
    return dict(
        server.ask("select t.tag, s.state from nursery_soilcheck s join nursery_tree t on t.id = s.tree_id")
    )


def _kinds(server: Server) -> dict[str, int]:
    return dict(
        server.ask("select kind, count(*) from nursery_journalrecord where device is not null group by kind")
    )


def test_a_second_tap_puts_the_first_one_right(server: Server, open_browser: Opener) -> None:
    page = _away(server, open_browser)
    walking.check(page, "soil", "dry")
    walking.check(page, "soil", "moist")
    page.locator('[data-check="soil"][data-value="moist"]').click()  # the same value: nothing to record
    walking.check(page, "wire", "biting")
    walking.expect_waiting(page, 4)
    expect(page.locator(f'[data-tree="{WIRED}"]')).to_have_attribute("data-look", "hand")

    page.locator("[data-action=undo]").click()
    expect(page.locator('[data-check="wire"][aria-pressed=true]')).to_have_count(0)
    expect(page.locator("[data-said]")).to_have_attribute("data-said", "taken back")
    walking.expect_waiting(page, 5)

    _home(server, page)
    assert _kinds(server) == {"walk_started": 1, "soil_check": 1, "wire_look": 1, "correction": 2}
    assert _soils(server) == {WIRED: "moist"}
    assert server.ask("select count(*) from nursery_wireinspection") == [(0,)]


def test_a_sound_tree_takes_one_tap_and_the_rest_one_question(server: Server, open_browser: Opener) -> None:
    page = _away(server, open_browser)
    page.locator("[data-action=fine]").click()  # soil moist, wire snug
    walking.expect_waiting(page, 3)
    walking.choose(page, BARE)
    walking.check(page, "soil", "dry")

    page.locator("[data-action=rest]").click()
    panel = page.locator("[data-panel=rest]")
    expect(panel).to_contain_text(re.compile(r"soil moist\s*42 trees"))
    expect(panel).to_contain_text(re.compile(r"wire snug\s*10 trees"))
    panel.locator("[data-action=rest-save]").click()
    expect(panel).to_have_count(0)
    walking.expect_waiting(page, 4 + 52)

    other = page.locator(f'[data-tree="{TAGS[2]}"]')
    expect(other).not_to_contain_text("soil")
    page.locator("[data-action=undo]").click()  # all that the one tap recorded
    walking.expect_waiting(page, 56 + 52)
    expect(other).to_contain_text("soil")
    page.locator("[data-action=rest]").click()
    page.locator("[data-action=rest-save]").click()
    walking.expect_waiting(page, 108 + 52)

    _home(server, page)
    soils = _soils(server)
    assert (len(soils), soils[BARE], soils[WIRED], soils[TAGS[43]]) == (44, "dry", "moist", "moist")
    assert server.ask("select count(*) from nursery_wireinspection where state = 'snug'") == [(11,)]
    assert server.ask("select count(*) from nursery_soilcheck where bulk") == [(42,)]


WHOLE = """keys => keys.map(key => [key, key.getBoundingClientRect()])
    .filter(([key, box]) => box.left < 0 || box.right > innerWidth || key.scrollWidth > key.clientWidth + 1
        || box.bottom > key.closest(".about").getBoundingClientRect().bottom)
    .map(([key]) => key.textContent)"""
IN_SIGHT = """cell => {
    const [box, room] = [cell, cell.closest(".grid-room")].map(part => part.getBoundingClientRect());
    return box.top >= room.top - 1 && box.bottom <= room.bottom + 1
        && box.left >= room.left && box.right <= room.right + 1;
}"""


def test_on_a_small_phone_no_key_is_cut_off_and_the_tree_at_hand_stays_in_sight(
    server: Server, open_browser: Opener
) -> None:
    page = _away(server, open_browser)
    page.set_viewport_size({"width": 360, "height": 640})
    for tag in (WIRED, TAGS[10], TAGS[20], TAGS[24], TAGS[43]):
        page.locator("[data-action=jump]").click()
        page.locator("[data-field=jump]").fill(tag[:2])
        expect(page.locator("[data-found]").nth(9)).to_be_attached()
        expect(page.locator("[data-field=jump]")).to_be_in_viewport(ratio=1)
        page.locator("[data-field=jump]").fill(tag)
        page.locator(f'[data-found="{tag}"]').click()
        expect(page.locator(f'[data-sheet][data-here="{tag}"]')).to_be_visible()
        assert page.locator("[data-check]").evaluate_all(WHOLE) == []
        cell = page.locator(f'[data-tree="{tag}"]')
        page.wait_for_function(
            f'tag => ({IN_SIGHT})(document.querySelector(`[data-tree="${{tag}}"]`))', arg=tag
        )
        expect(cell).to_have_attribute("aria-current", "true")


def test_without_a_way_to_the_shed_a_file_carries_the_records(
    server: Server, open_browser: Opener, tmp_path: Path
) -> None:
    page = _away(server, open_browser)
    walking.check(page, "soil", "dry")
    page.locator("[data-action=more]").click()
    page.locator("[data-panel=more] [data-action=note]").click()
    page.locator("[data-field=note]").fill("resin at the base \u6728")
    page.locator("[data-panel=note] [data-action=save]").click()
    walking.expect_waiting(page, 3)

    page.locator("[data-action=records]").click()
    with page.expect_download() as coming:
        page.locator("[data-action=export]").click()
    assert re.fullmatch(r"misho-handover-[a-z0-9-]+-\d{4}-\d\d-\d\d\.json", coming.value.suggested_filename)
    file = tmp_path / "carried.json"
    coming.value.save_as(file)
    assert [r["kind"] for r in json.loads(file.read_text())["records"]] == [
        "walk_started",
        "soil_check",
        "note",
    ]
    walking.expect_waiting(page, 3)  # they stay until the shed itself has said so

    assert "3 stored" in server.manage("hand_over", str(file))
    _home(server, page)
    assert server.ask("select text from nursery_note") == [("resin at the base \u6728",)]
    assert _soils(server) == {WIRED: "dry"}
