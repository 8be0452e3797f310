"""The plain-http page, over a real socket."""

import http.client
from collections.abc import Iterator

import pytest

from nursery.lan import PlainServer
from nursery.lan.plain import page


@pytest.fixture
def server() -> Iterator[PlainServer]:
    made = PlainServer(
        "127.0.0.1", 0, addresses=["https://192.168.7.20:8000/"], certificate=b"DER bytes", mark="AB:CD"
    )
    made.begin()
    yield made
    made.end()


def ask(server: PlainServer, method: str, path: str, language: str = "") -> tuple[int, dict[str, str], bytes]:
    connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=10)
    connection.request(method, path, headers={"Accept-Language": language} if language else {})
    answer = connection.getresponse()
    return answer.status, {k.lower(): v for k, v in answer.getheaders()}, answer.read()


@pytest.mark.parametrize("path", ["/", "/bench/", "/phones/trust/?x=1"])
def test_every_address_says_why_https_and_where(server: PlainServer, path: str) -> None:
    status, headers, body = ask(server, "GET", path)
    assert status == 200
    assert b"comes by https" in body
    assert b'href="https://192.168.7.20:8000/"' in body
    assert b"AB:CD" in body
    assert headers["content-security-policy"].startswith("default-src 'none'")
    assert headers["cache-control"] == "no-store"
    assert "strict-transport-security" not in headers


def test_the_certificate_comes_as_phones_want_it(server: PlainServer) -> None:
    status, headers, body = ask(server, "GET", "/misho.cer")
    assert (status, headers["content-type"], body) == (200, "application/x-x509-ca-cert", b"DER bytes")


def test_it_takes_nothing_in(server: PlainServer) -> None:
    assert ask(server, "POST", "/api/sync/push")[0] == 501
    assert ask(server, "HEAD", "/")[2] == b""


def test_what_the_page_is_given_is_escaped() -> None:
    assert b"<script>" not in page(['https://x/"><script>'], "<script>")


# The first that the shed speaks, by weight: RFC 9110, section 12.5.4.
@pytest.mark.parametrize(
    ("asked", "said", "heading"),
    [
        ("de-AT,de;q=0.9,en;q=0.5", "de", "Zuerst diesem Server vertrauen, dann den Schuppen öffnen"),
        ("fr, de;q=0.3, en;q=0.2", "de", "Zuerst diesem Server vertrauen, dann den Schuppen öffnen"),
        ("en-GB,de;q=0.9", "en", "First trust this server, then open the shed"),
        ("fr", "en", "First trust this server, then open the shed"),
        ("*", "en", "First trust this server, then open the shed"),
        ("\u00ff;;q=x", "en", "First trust this server, then open the shed"),
    ],
)
def test_it_speaks_as_the_phone_asks(server: PlainServer, asked: str, said: str, heading: str) -> None:
    _, headers, body = ask(server, "GET", "/", asked)
    page = body.decode()
    assert f'<html lang="{said}">' in page
    assert f"<h1>{heading}</h1>" in page
    assert ("Fingerabdruck" in page) == (said == "de")
    assert headers["vary"] == "Accept-Language"
