"""A tiny server on plain http that says why https, where it is, and hands out the certificate to trust.

It knows nothing of the nursery, reads no cookie and takes nothing in.
"""

import threading
from html import escape
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

from . import words

CERTIFICATE = "/misho.cer"
_STYLE = (
    "body{font:1.1rem/1.5 system-ui,sans-serif;max-width:38rem;margin:2rem auto;padding:0 1rem;"
    "background:#f7f2e6;color:#1f2f27}a{color:#27463a}a.key{display:block;padding:1rem;margin:1rem 0;"
    "border:2px solid #27463a;text-align:center;font-weight:700}code{overflow-wrap:anywhere}"
    "li{margin:.4rem 0}"
)


def page(addresses: list[str], mark: str) -> bytes:
    """The whole page. ``addresses``: where the shed is by https; ``mark``: the certificate's fingerprint."""
    links = "".join(f'<a class="key" href="{escape(url)}">{escape(url)}</a>' for url in addresses)
    steps = "".join(
        f"<h2>{name}</h2><ol>{''.join(f'<li>{escape(step)}</li>' for step in told)}</ol>"
        for name, told in (("On Android", words.ANDROID), ("On an iPhone", words.IPHONE))
    )
    return (
        '<!doctype html><html lang="en"><meta charset="utf-8"><title>Misho: the way in</title>'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<style>{_STYLE}</style><h1>First trust this server, then open the shed</h1>"
        f'<a class="key" href="{CERTIFICATE}">1. Download the certificate</a>'
        f"<p>2. Trust it by the steps below.</p><p>3. Open the shed:</p>{links}"
        f"<h2>Why</h2><p>{escape(words.WHY)}</p>{steps}<h2>What you trust</h2><p>{escape(words.SCOPE)}</p>"
        "<p>This page came by plain http, which others on the network could change. So compare the "
        "fingerprint on the phone with the one on the shed's own screen (Phones, Trust) before you install. "
        f"Here it reads:</p><p><code>{escape(mark)}</code></p><p>{escape(words.STRANDS)}</p></html>"
    ).encode()


class _Handler(BaseHTTPRequestHandler):
    server_version, sys_version = "Misho", ""
    timeout = 10
    server: "PlainServer"

    def do_GET(self) -> None:
        self._answer(body=True)

    def do_HEAD(self) -> None:
        self._answer(body=False)

    def _answer(self, *, body: bool) -> None:
        if self.path.split("?")[0] == CERTIFICATE:
            data, kind = self.server.certificate, "application/x-x509-ca-cert"
        else:
            data, kind = self.server.page, "text/html; charset=utf-8"
        self.send_response(200)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(data)))
        self.send_header("Cache-Control", "no-store")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.send_header(
            "Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"
        )
        self.send_header("Connection", "close")
        self.end_headers()
        if body:
            self.wfile.write(data)

    def log_message(self, format: str, *args: Any) -> None:
        """Say nothing: the terminal shows the shed's own address."""


class PlainServer(ThreadingHTTPServer):
    """Serves until ``end``; a daemon thread, so it never keeps the process alive."""

    daemon_threads = True

    def __init__(self, host: str, port: int, *, addresses: list[str], certificate: bytes, mark: str) -> None:
        super().__init__((host, port), _Handler)
        self.page = page(addresses, mark)
        self.certificate = certificate

    @property
    def port(self) -> int:
        return int(self.server_address[1])

    def begin(self) -> None:
        threading.Thread(target=self.serve_forever, name="plain http", daemon=True).start()

    def end(self) -> None:
        self.shutdown()
        self.server_close()
