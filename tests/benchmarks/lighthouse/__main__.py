"""What Lighthouse 12 thinks of the bench app and of pages of the shed, with the demo nursery behind them.

``python -m tests.benchmarks.lighthouse --json``: a real server, a real Chromium, signed in and paired, and
Lighthouse's own phone: a slow network and a processor four times slower, both simulated.

For each page: ``median`` and ``best`` of the rounds for ``performance``, ``accessibility`` and
``best-practices`` (100 is best), and ``why``: what lost points in the best round. Performance counts
the time that work on the main thread took by the clock, so other work on the machine costs points:
``machine`` is how fast it ran by Lighthouse's own measure (a desk computer at rest: above 1500), and
``blocked_cpu_ms`` the blocking time by the processor's time instead (200 ms still score 90 of 100).
``installability``: what keeps Chromium from offering the bench app for the home screen.
"""

from __future__ import annotations

import argparse
import json
import socket
import statistics
import subprocess
import tempfile
from collections import defaultdict
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
CATEGORIES = ["performance", "accessibility", "best-practices"]
PHONE = {"width": 412, "height": 823}
#: What the other browser of ours is started with too: cookies that one of them keeps, the other can read.
STORES = ["--password-store=basic", "--use-mock-keychain"]


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    options.add_argument("--json", action="store_true")
    options.add_argument("--rounds", type=int, default=3)
    asked = options.parse_args()
    with tempfile.TemporaryDirectory(prefix="misho-lighthouse-") as name:
        found = run(Path(name), asked.rounds)
    if asked.json:
        print(json.dumps(found, indent=1))
        return
    for page, told in found["pages"].items():
        print(f"{page:20} median {told['median']}, best {told['best']}", *told["why"], sep="\n   ")
    print("installability", found["installability"] or "nothing in the way")


def run(folder: Path, rounds: int) -> dict[str, Any]:
    from frontend import node
    from tests.benchmarks.lighthouse.blocked import blocked_ms
    from tests.browser.server import Server

    node.install(root=HERE)
    server = Server(folder / "data")
    server.manage("demo")
    server.start()
    origin = f"http://localhost:{server.port}"
    try:
        with _browser(folder) as browser:
            _come_in(browser, origin, server)
            tree, bench = _one_of_each(browser, origin)
            _begin_walk(browser, origin, bench)
        pages = {
            "bench app": f"{origin}/bench/#/benches",
            "bench app, a bench": f"{origin}/bench/#/bench/{bench}",
            "shed, today": f"{origin}/",
            "shed, a tree": f"{origin}/trees/{tree}/",
            "shed, a bench": f"{origin}/benches/{bench}/",
            "shed, print tags": f"{origin}/tags/",
        }
        lines: list[dict[str, Any]] = []
        for _ in range(rounds):
            with _bare_browser(folder) as port:
                asked = json.dumps({"port": port, "pages": list(pages.values()), "categories": CATEGORIES})
                told = node.node(HERE / "pages.mjs", asked, root=HERE)
            lines += [json.loads(line) for line in told.splitlines() if line.startswith("{")]
        with _browser(folder) as browser:
            blocked = {url: round(blocked_ms(browser, url)) for url in pages.values()}
            errors = _installability(browser, origin)
    finally:
        server.kill()
    told = _told(pages, lines)
    for name, url in pages.items():
        told[name]["blocked_cpu_ms"] = blocked[url]
    return {"pages": told, "installability": errors}


@contextmanager
def _browser(folder: Path) -> Iterator[Any]:
    """A browser that we steer; what the shed gave it outlives it."""
    from playwright.sync_api import sync_playwright

    from tests.browser.conftest import CHROMIUM, FLAGS

    with sync_playwright() as p:
        browser = p.chromium.launch_persistent_context(
            str(folder / "browser"), executable_path=CHROMIUM, args=FLAGS, viewport=PHONE
        )
        browser.set_default_timeout(60_000)
        yield browser
        browser.close()


@contextmanager
def _bare_browser(folder: Path) -> Iterator[int]:
    """The same with nobody but Lighthouse at it, on this port: who steers a page works on its thread too."""
    from tests.browser.conftest import CHROMIUM, FLAGS
    from tests.ports import free_port

    port = free_port()
    size = f"--window-size={PHONE['width']},{PHONE['height']}"
    flags = [
        *FLAGS,
        *STORES,
        size,
        f"--remote-debugging-port={port}",
        f"--user-data-dir={folder / 'browser'}",
    ]
    with subprocess.Popen(
        [CHROMIUM, "--headless=new", *flags], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as process:
        try:
            while not _listens(port):
                with suppress(subprocess.TimeoutExpired):
                    raise RuntimeError(f"Chromium ended with {process.wait(0.05)}")
            yield port
        finally:
            process.terminate()


def _listens(port: int) -> bool:
    with closing(socket.socket()) as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


def _come_in(browser: Any, origin: str, server: Any) -> None:
    """Become known to the shed, as an owner and as a phone."""
    from playwright.sync_api import expect

    from tests.browser import walking

    page = browser.new_page()
    page.goto(origin + server.entry_link())
    page.get_by_label("Name").fill("hana")
    for field in page.locator("input[type=password]").all():
        field.fill("a long enough secret")
    page.locator("main form button").first.click()
    expect(page.get_by_role("button", name="Sign out")).to_be_attached()
    walking.pair(page, origin, server.pairing_code("Phone A"))
    page.locator(".bench-line").first.wait_for()
    walking.worker_ready(page)
    page.close()


def _begin_walk(browser: Any, origin: str, bench: str) -> None:
    """Only the bench that is walked is shown by its address."""
    page = browser.new_page()
    page.goto(f"{origin}/bench/")
    page.locator(f'[data-bench="{bench}"]').click()
    page.locator("[data-check]").first.click()
    page.locator('[data-check][aria-pressed="true"]').first.wait_for()
    page.close()


def _one_of_each(browser: Any, origin: str) -> tuple[str, str]:
    """The ids of a tree and of a bench, from the shed's own lists."""
    page = browser.new_page()
    page.goto(f"{origin}/trees/")
    tree = page.locator("main a.tag").first.get_attribute("href").split("/")[2]
    page.goto(f"{origin}/benches/")
    bench = page.locator("main table a[href^='/benches/']").first.get_attribute("href").split("/")[2]
    page.close()
    return tree, bench


def _installability(browser: Any, origin: str) -> list[Any]:
    page = browser.new_page()
    page.goto(f"{origin}/bench/")
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    answer = browser.new_cdp_session(page).send("Page.getInstallabilityErrors")
    page.close()
    return list(answer["installabilityErrors"])


def _told(pages: dict[str, str], lines: list[dict[str, Any]]) -> dict[str, Any]:
    seen: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for line in lines:
        seen[line["page"]].append(line)
    told = {}
    for name, url in pages.items():
        best = max(seen[url], key=lambda one: sum(one["scores"].values()))
        told[name] = {
            "median": {c: statistics.median(one["scores"][c] for one in seen[url]) for c in CATEGORIES},
            "best": best["scores"],
            "why": [f"{c}: {why}" for c in CATEGORIES for why in best["why"][c]],
            "machine": statistics.median(one["machine"] for one in seen[url]),
        }
    return told


if __name__ == "__main__":
    main()
