"""What browser and machine take by themselves: an app of three keys that writes one record a tap.

It opens by a worker of its own, without a server, and asks the disk one question before it shows its keys: no
app that keeps what is tapped can do less. Served on a port of its own, under the address that the bench app
has, so that the same thumb taps it with the same stop watch.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

PAGE = """<!doctype html><html lang="en"><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1"><title>Three keys</title>
<style>button { width: 100px; height: 56px; } [aria-pressed=true] { background: #cde; }</style>
<main></main>
<script>
    navigator.serviceWorker.register("/bench/worker.js");
    const open = indexedDB.open("floor", 1);
    open.onupgradeneeded = () => open.result.createObjectStore("log", {autoIncrement: true});
    const tap = event => {
        const key = event.currentTarget;
        event.preventDefault();
        const writing = open.result.transaction("log", "readwrite", {durability: "strict"});
        writing.objectStore("log").add({text: "x".repeat(300)});
        writing.oncomplete = () => {
            document.querySelector("[aria-pressed=true]")?.setAttribute("aria-pressed", "false");
            key.setAttribute("aria-pressed", "true");
        };
    };
    open.onsuccess = () => {
        open.result.transaction("log").objectStore("log").count().onsuccess = () => {
            const keys = ["wet", "moist", "dry"].map(word => {
                const key = document.createElement("button");
                key.textContent = key.dataset.value = word;
                key.dataset.check = "soil";
                key.dataset.tree = "";
                key.ontouchend = tap;
                return key;
            });
            document.querySelector("main").append(...keys);
        };
    };
</script></html>"""

WORKER = """
const CACHE = "floor", HOME = "/bench/";
oninstall = event => event.waitUntil(caches.open(CACHE).then(cache => cache.add(HOME)));
onactivate = event => event.waitUntil(clients.claim());
onfetch = event => {
    if (event.request.mode === "navigate") event.respondWith(caches.match(HOME));
};
"""

FILES = {"/bench/": (PAGE, "text/html"), "/bench/worker.js": (WORKER, "text/javascript")}


class _Answers(BaseHTTPRequestHandler):
    def do_GET(self) -> None:
        text, sort = FILES.get(self.path, ("", "text/plain"))
        self.send_response(200 if text else 404)
        self.send_header("Content-Type", f"{sort}; charset=utf-8")
        self.end_headers()
        self.wfile.write(text.encode())

    def log_message(self, format: str, *args: object) -> None:
        pass


@contextmanager
def served() -> Iterator[str]:
    """The origin at which the three keys are there; gone at the end."""
    with ThreadingHTTPServer(("127.0.0.1", 0), _Answers) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        try:
            yield f"http://localhost:{server.server_port}"
        finally:
            server.shutdown()
