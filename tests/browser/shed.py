"""How a person comes in at the shed, through the browser."""

from __future__ import annotations

from playwright.sync_api import Page, expect

from .server import Server


def open_entry(page: Page, server: Server) -> None:
    page.goto(f"http://localhost:{server.port}{server.entry_link()}")


def sign_on(page: Page) -> None:
    """Fill in the entry page, and wait until the shed knows its owner: a click does not wait for that."""
    page.get_by_label("Name").fill("hana")
    for field in page.locator("input[type=password]").all():
        field.fill("a long enough secret")
    page.locator("main form button").first.click()
    expect(page.get_by_role("button", name="Sign out")).to_be_attached()


def come_in(page: Page, server: Server) -> None:
    open_entry(page, server)
    sign_on(page)
