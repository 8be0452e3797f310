"""Real Chromium at phone size, against a real server in its own process."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Playwright, expect, sync_playwright

from .proxy import Wire
from .server import Server

CHROMIUM = "/usr/bin/chromium"
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
]
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 800}
#: A condition may take this long on a crowded machine before the test fails [ms].
PATIENCE_MS = 45_000
expect.set_options(timeout=PATIENCE_MS)


@pytest.fixture(scope="module")
def playwright() -> Iterator[Playwright]:
    """Ended with its file: while it lives, its event loop makes Django refuse the database to later tests."""
    with sync_playwright() as p:
        yield p


Opener = Callable[..., BrowserContext]


@pytest.fixture
def open_browser(playwright: Playwright, tmp_path: Path) -> Iterator[Opener]:
    """Open (or open again) the browser whose storage is kept under a name."""
    opened: list[BrowserContext] = []

    def opener(
        name: str = "phone", size: dict[str, int] = PHONE, flags: Sequence[str] = (), **more: object
    ) -> BrowserContext:
        context = playwright.chromium.launch_persistent_context(
            str(tmp_path / f"browser-{name}"),
            executable_path=CHROMIUM,
            args=[*FLAGS, *flags],
            viewport=size,
            has_touch=size is PHONE,
            **more,
        )
        context.set_default_timeout(PATIENCE_MS)
        opened.append(context)
        return context

    yield opener
    for context in opened:
        context.close()


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    it = Server(tmp_path / "site", updated=True)
    yield it
    it.kill()


@pytest.fixture
def wire(server: Server) -> Iterator[Wire]:
    it = Wire(server.port)
    yield it
    it.shutdown()
    it.server_close()
