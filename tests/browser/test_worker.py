"""The worker in real Chromium: what it keeps, what it leaves alone, and how a new version comes."""

from __future__ import annotations

import json
import shutil
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from django.template.loader import render_to_string
from playwright.sync_api import Page

from frontend import node
from frontend.policy import POLICY

from .conftest import Opener

TYPES = {".js": "text/javascript", ".css": "text/css"}


class Host:
    """Serves a built bench app by plain files, so that two versions can follow each other at one address."""

    def __init__(self, dist: Path) -> None:
        self.dist = dist
        self.asked: list[tuple[str, str]] = []
        self.server = ThreadingHTTPServer(("127.0.0.1", 0), self._handler())
        self.port = self.server.server_port
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

    @property
    def bench(self) -> str:
        return f"http://localhost:{self.port}/bench/"

    def page(self) -> str:
        entry = json.loads((self.dist / ".vite" / "manifest.json").read_text())["bench/app/main.tsx"]
        names = {"script": f"/static/{entry['file']}", "styles": [f"/static/{name}" for name in entry["css"]]}
        mark = (self.dist / "mark").read_text()
        page = render_to_string("bench/index.html", names)
        return page.replace("</head>", f'<meta name="mark" content="{mark}"></head>')

    def answer(self, method: str, path: str) -> tuple[int, str, bytes]:
        self.asked.append((method, path))
        if path == "/bench/":
            return 200, "text/html; charset=utf-8", self.page().encode()
        file = self.dist / ("worker.js" if path == "/serviceworker.js" else path.removeprefix("/static/"))
        if method == "GET" and file.is_file():
            return 200, TYPES.get(file.suffix, "application/octet-stream"), file.read_bytes()
        return 404, "text/plain", b"not here"

    def stop(self) -> None:
        self.server.shutdown()
        self.server.server_close()

    def _handler(host) -> type[BaseHTTPRequestHandler]:
        class Handler(BaseHTTPRequestHandler):
            def _give(self) -> None:
                self.rfile.read(int(self.headers.get("Content-Length") or 0))
                status, kind, body = host.answer(self.command, self.path)
                self.send_response(status)
                for name, value in (
                    ("Content-Type", kind),
                    ("Content-Length", str(len(body))),
                    ("Content-Security-Policy", POLICY),
                    ("Cache-Control", "no-cache"),
                    # As the shed's: what a phone keeps must be found whatever it speaks by now.
                    ("Vary", "Accept-Encoding" if "/static/" in self.path else "Accept-Language, Cookie"),
                ):
                    self.send_header(name, value)
                self.end_headers()
                self.wfile.write(body)

            do_GET = do_POST = _give

            def log_message(self, format: str, *args: object) -> None:
                """Quiet."""

        return Handler


def built(folder: Path, mark: str) -> Path:
    """A build whose page carries a mark."""
    copy = folder / mark
    skip = shutil.ignore_patterns("node_modules", "dist", "__pycache__")
    shutil.copytree(node.FRONTEND, copy, ignore=skip)
    (copy / "node_modules").symlink_to(node.FRONTEND / "node_modules", target_is_directory=True)
    page = copy / "templates" / "bench" / "index.html"
    page.write_text(page.read_text() + f"<!-- {mark} -->")
    dist = node.build(copy)
    (dist / "mark").write_text(mark)
    return dist


@pytest.fixture(scope="module")
def versions(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    node.install(tests=True)
    folder = tmp_path_factory.mktemp("versions")
    return built(folder, "first"), built(folder, "second")


@pytest.fixture
def host(versions: tuple[Path, Path]) -> Iterator[Host]:
    host = Host(versions[0])
    yield host
    host.stop()


def controlled(page: Page, host: Host) -> None:
    page.goto(host.bench)
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")


def mark(page: Page) -> str:
    """Which version's page is on the screen."""
    return str(page.get_attribute("meta[name=mark]", "content"))


CACHES = "async () => (await caches.keys()).filter((name) => name.startsWith('misho-shell-'))"


SOURCES = """() => performance.getEntries()
    .filter((one) => "workerStart" in one && /\\/bench\\/$|\\/static\\/assets\\//.test(one.name))
    .map((one) => one.toJSON().workerFinalSourceType)"""


def test_the_app_opens_with_no_server_at_all(host: Host, open_browser: Opener) -> None:
    context = open_browser(locale="en-US")
    controlled(context.new_page(), host)
    context.close()
    host.stop()
    page = open_browser(locale="de-DE").new_page()
    page.goto(host.bench)
    page.wait_for_selector("[data-screen]")
    assert mark(page) == "first"
    page.reload()
    page.wait_for_selector("[data-screen]")
    assert page.evaluate(SOURCES)[0] == "cache"


def test_the_browser_takes_page_and_files_from_the_cache_itself(host: Host, open_browser: Opener) -> None:
    page = open_browser().new_page()
    controlled(page, host)
    host.asked.clear()
    page.reload()
    page.wait_for_selector("[data-screen]")
    sources = page.evaluate(SOURCES)
    # The page, its style, what draws the first screen and what opens the memory.
    assert len(sources) >= 4
    assert set(sources) == {"cache"}
    assert not [path for _, path in host.asked if path == "/bench/" or path.startswith("/static/assets/")]


def test_files_are_kept_as_they_came_and_the_page_as_one_for_all(host: Host, open_browser: Opener) -> None:
    # A browser keeps its compiled code beside a plain script whose answer is the network's own, and no other.
    page = open_browser().new_page()
    controlled(page, host)
    kept = page.evaluate(
        "async () => Object.fromEntries(await Promise.all("
        "[...document.querySelectorAll('script')].map((one) => one.src).concat(location.href)"
        ".map(async (path) => { const {url, headers} = await caches.match(path, {ignoreVary: true});"
        " return [path === location.href ? 'page' : 'script', [url === path, headers.get('Vary')]]; })))"
    )
    assert kept == {"page": [False, None], "script": [True, "Accept-Encoding"]}


def test_an_address_that_the_rule_does_not_name_is_the_workers(host: Host, open_browser: Opener) -> None:
    page = open_browser().new_page()
    controlled(page, host)
    host.stop()
    page.goto(f"{host.bench}?from=home")
    assert mark(page) == "first"


def test_a_phone_that_has_thrown_its_cache_away_asks_the_shed(host: Host, open_browser: Opener) -> None:
    page = open_browser().new_page()
    controlled(page, host)
    page.evaluate("async () => { for (const name of await caches.keys()) await caches.delete(name); }")
    host.asked.clear()
    page.reload()
    page.wait_for_selector("[data-screen]")
    assert mark(page) == "first"
    assert ("GET", "/bench/") in host.asked


def test_the_api_and_the_sheds_pages_never_pass_through_it(host: Host, open_browser: Opener) -> None:
    page = open_browser().new_page()
    controlled(page, host)
    host.asked.clear()
    status = page.evaluate("async () => (await fetch('/api/sync/push', {method: 'POST', body: '{}'})).status")
    assert status == 404
    assert page.evaluate("async () => (await fetch('/api/sync/pull')).status") == 404
    assert page.goto(host.bench.replace("bench/", "benches/")).status == 404  # type: ignore[union-attr]
    assert {("POST", "/api/sync/push"), ("GET", "/api/sync/pull"), ("GET", "/benches/")} <= set(host.asked)
    kept = page.evaluate(
        "async () => (await Promise.all((await caches.keys()).map(async (name) =>"
        " (await (await caches.open(name)).keys()).map((one) => new URL(one.url).pathname)))).flat()"
    )
    assert [path for path in kept if path != "/bench/" and not path.startswith("/static/assets/")] == []


def test_a_new_version_waits_until_the_grower_lets_it_in(
    host: Host, versions: tuple[Path, Path], open_browser: Opener
) -> None:
    page = open_browser().new_page()
    controlled(page, host)
    before = page.evaluate(CACHES)
    host.dist = versions[1]
    page.evaluate("async () => { await (await navigator.serviceWorker.getRegistration()).update(); }")
    page.wait_for_function("async () => (await navigator.serviceWorker.getRegistration()).waiting !== null")
    page.reload()
    assert mark(page) == "first"
    page.evaluate(
        "() => new Promise((done) => { navigator.serviceWorker.addEventListener('controllerchange', done);"
        " navigator.serviceWorker.getRegistration().then((one) =>"
        " one.waiting.postMessage({type: 'SKIP_WAITING'})); })"
    )
    page.goto(host.bench)
    assert mark(page) == "second"
    page.wait_for_function(f"async () => (await ({CACHES})()).length === 1")
    assert page.evaluate(CACHES) != before


def test_a_page_of_another_build_is_not_kept(
    host: Host, versions: tuple[Path, Path], open_browser: Opener, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = open_browser().new_page()
    controlled(page, host)
    text = host.page()
    host.dist = versions[1]
    monkeypatch.setattr(host, "page", lambda: text + '<link href="/static/assets/main-Gone.css">')
    state = page.evaluate(
        "async () => { const one = await navigator.serviceWorker.getRegistration(); await one.update();"
        " const worker = one.installing; if (!worker) return 'none';"
        " return new Promise((done) => worker.addEventListener('statechange', () => done(worker.state))); }"
    )
    assert state == "redundant"
    page.reload()
    assert mark(page) == "first"
