"""What a grower's thumb does in the bench app, by the hooks that the screens keep for tests."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect


def pair(page: Page, origin: str, code: str) -> None:
    page.goto(f"{origin}/bench/")
    expect(page.locator("[data-screen=pair]")).to_be_visible()
    page.locator("[data-field=code]").fill(code)
    page.locator("[data-action=pair]").click()
    expect(page.locator("[data-screen=benches]")).to_be_visible()


def worker_ready(page: Page) -> None:
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")


def waiting(page: Page) -> int:
    """The number of records still to hand over, as the header shows it."""
    text = page.locator("[data-waiting]").first.get_attribute("data-waiting")
    assert text is not None
    return int(text)


def expect_waiting(page: Page, count: int) -> None:
    expect(page.locator(f'[data-waiting="{count}"]').first).to_be_visible()


def open_bench(page: Page, name: str) -> None:
    page.get_by_role("button", name=re.compile(name)).first.click()
    expect(page.locator("[data-screen=bench]")).to_be_visible()


def choose(page: Page, tag: str) -> None:
    page.locator(f'[data-tree="{tag}"]').click()


#: From now on the browser keeps nothing that the page leaves at its end, as of an app that is killed.
MUTE = "Storage.prototype.setItem = () => undefined"


def answer(what: str, value: str) -> str:
    """The key of an answer."""
    return f'[data-check="{what}"][data-value="{value}"]'


def check(page: Page, what: str, value: str) -> None:
    """One tap; done when the key shows itself pressed, which it does only once the record is durable."""
    key = page.locator(answer(what, value))
    key.click()
    expect(key).to_have_attribute("aria-pressed", "true")


def following(page: Page) -> None:
    page.locator("[data-action=next]").click()


#: The tag of the tree that the phone would open at, as its database has it.
KEPT_PLACE = """tag => new Promise((found, failed) => {
    const open = indexedDB.open("misho");
    open.onerror = () => failed(open.error);
    open.onsuccess = () => {
        const read = open.result.transaction(["meta", "trees"]);
        const ask = (table, key, then) => {
            read.objectStore(table).get(key).onsuccess = (event) => then(event.target.result);
        };
        let here;
        ask("meta", "walk", (walk) => walk && ask("trees", walk.value.tree, (tree) => (here = tree?.tag)));
        read.oncomplete = () => { open.result.close(); found(here === tag); };
    };
})"""


def place_kept(page: Page, tag: str) -> None:
    """Wait until the phone would open at this tree. No tap waits for that: a phone that dies in that very
    moment opens at the tree before, with all its records."""
    page.wait_for_function(KEPT_PLACE, arg=tag)


def hand_over(page: Page) -> None:
    page.locator("[data-action=sync]").first.click()
    expect_waiting(page, 0)
    # What was handed over is in the standings once they have been fetched.
    expect(page.locator("[data-sync=done]").first).to_be_visible()
