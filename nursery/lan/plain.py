"""A tiny server on plain http that says why https, where it is, and hands out the certificate to trust.

It knows nothing of the nursery, reads no cookie and takes nothing in.
"""

import threading
from contextlib import suppress
from html import escape
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

from django.conf import settings
from django.utils.translation import get_language, get_supported_language_variant, override
from django.utils.translation.trans_real import parse_accept_lang_header

from . import words

CERTIFICATE = "/misho.cer"
_STYLE = (
    "body{font:1.1rem/1.5 system-ui,sans-serif;max-width:38rem;margin:2rem auto;padding:0 1rem;"
    "background:#f7f2e6;color:#1f2f27}a{color:#27463a}a.key{display:block;padding:1rem;margin:1rem 0;"
    "border:2px solid #27463a;text-align:center;font-weight:700}code{overflow-wrap:anywhere}"
    "li{margin:.4rem 0}"
)


def page(addresses: list[str], mark: str) -> bytes:
    """The whole page, in the language that is active.

    ``addresses``: where the shed is by https; ``mark``: the certificate's fingerprint.
    """
    links = "".join(f'<a class="key" href="{escape(url)}">{escape(url)}</a>' for url in addresses)
    steps = "".join(
        f"<h2>{_safe(name)}</h2><ol>{''.join(f'<li>{_safe(step)}</li>' for step in told)}</ol>"
        for name, told in ((words.ON_ANDROID, words.ANDROID), (words.ON_IPHONE, words.IPHONE))
    )
    return (
        f'<!doctype html><html lang="{get_language() or "en"}"><meta charset="utf-8">'
        f"<title>{_safe(words.TITLE)}</title>"
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<style>{_STYLE}</style><h1>{_safe(words.HEADING)}</h1>"
        f'<a class="key" href="{CERTIFICATE}">1. {_safe(words.DOWNLOAD)}</a>'
        f"<p>2. {_safe(words.TRUST_IT)}</p><p>3. {_safe(words.OPEN)}</p>{links}"
        f"<h2>{_safe(words.WHY_HEAD)}</h2><p>{_safe(words.WHY)}</p>{steps}"
        f"<h2>{_safe(words.SCOPE_HEAD)}</h2><p>{_safe(words.SCOPE)}</p><p>{_safe(words.COMPARE)}</p>"
        f"<p><code>{escape(mark)}</code></p><p>{_safe(words.STRANDS)}</p></html>"
    ).encode()


def _safe(text: str) -> str:
    return escape(str(text))


def pages(addresses: list[str], mark: str) -> dict[str, bytes]:
    """The page in each of the shed's languages."""
    made = {}
    for language, _name in settings.LANGUAGES:
        with override(language):
            made[language] = page(addresses, mark)
    return made


def wanted(accept: str) -> str:
    """The language of the shed that an Accept-Language header asks for first (RFC 9110, 12.5.4)."""
    for asked, _weight in parse_accept_lang_header(accept):
        if asked == "*":
            break
        with suppress(LookupError):
            return get_supported_language_variant(asked)
    return settings.LANGUAGE_CODE


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
            language = wanted(self.headers.get("Accept-Language", ""))
            data, kind = self.server.pages.get(language, self.server.pages["en"]), "text/html; charset=utf-8"
        self.send_response(200)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(data)))
        self.send_header("Cache-Control", "no-store")
        self.send_header("Vary", "Accept-Language")
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
        self.pages = pages(addresses, mark)
        self.certificate = certificate

    @property
    def port(self) -> int:
        return int(self.server_address[1])

    def begin(self) -> None:
        threading.Thread(target=self.serve_forever, name="plain http", daemon=True).start()

    def end(self) -> None:
        self.shutdown()
        self.server_close()
