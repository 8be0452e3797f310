"""Certificates against OpenSSL, which judges them in a real handshake."""

import datetime
import hashlib
import socket
import ssl
import stat
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from nursery.lan import (
    Names,
    Paths,
    authority,
    ensure,
    fingerprint,
    lan_addresses,
    names_here,
    root_certificate,
)

NAMES = Names(("shed.local", "shed", "localhost"), ("192.168.7.20", "127.0.0.1"))
# A certificate knows whole seconds.
NOW = datetime.datetime.now(datetime.UTC).replace(microsecond=0)


@contextmanager
def tls_server(paths: Paths) -> Iterator[int]:
    """A server that shakes hands with whoever comes, on a free port."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(paths.certificate, paths.key)
    with socket.create_server(("127.0.0.1", 0)) as listening:
        over = threading.Event()

        def answer() -> None:
            while not over.is_set():
                try:
                    plain, _ = listening.accept()
                    with context.wrap_socket(plain, server_side=True) as secure:
                        secure.recv(1)
                except OSError:
                    continue

        thread = threading.Thread(target=answer, daemon=True)
        thread.start()
        yield listening.getsockname()[1]
        over.set()
        socket.create_connection(listening.getsockname()).close()
        thread.join()


def shake_hands(port: int, root: Path, name: str) -> None:
    context = ssl.create_default_context(cafile=root)
    # What newer clients ask for: RFC 5280 to the letter.
    context.verify_flags |= ssl.VERIFY_X509_STRICT
    with (
        socket.create_connection(("127.0.0.1", port)) as plain,
        context.wrap_socket(plain, server_hostname=name) as secure,
    ):
        secure.send(b"x")


@pytest.mark.parametrize("name", ["localhost", "shed.local", "127.0.0.1", "192.168.7.20"])
def test_a_client_that_trusts_the_root_accepts_the_server_by_each_name(tmp_path: Path, name: str) -> None:
    paths = ensure(tmp_path, NAMES)
    with tls_server(paths) as port:
        shake_hands(port, paths.root, name)


def test_a_client_refuses_another_name(tmp_path: Path) -> None:
    paths = ensure(tmp_path, NAMES)
    with tls_server(paths) as port, pytest.raises(ssl.SSLCertVerificationError, match="mismatch"):
        shake_hands(port, paths.root, "192.168.7.21")


def test_the_authority_cannot_vouch_for_a_bank(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # A thief of the key would skip our own check of names; OpenSSL must still refuse (RFC 5280, 4.2.1.10).
    ensure(tmp_path, NAMES)
    monkeypatch.setattr(authority, "_covered", lambda root, names: [authority.x509.DNSName("bank.example")])
    paths = ensure(tmp_path, NAMES)
    assert paths.renewed
    with tls_server(paths) as port, pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree"):
        shake_hands(port, paths.root, "bank.example")


def test_a_name_that_the_authority_may_not_vouch_for_is_left_out(tmp_path: Path) -> None:
    ensure(tmp_path, NAMES)
    moved = Names(("shed.local",), ("203.0.113.9", "192.168.7.20"))  # RFC 5737: an address for examples
    paths = ensure(tmp_path, moved)
    with tls_server(paths) as port:
        shake_hands(port, paths.root, "192.168.7.20")
        with pytest.raises(ssl.SSLCertVerificationError, match="mismatch"):
            shake_hands(port, paths.root, "203.0.113.9")


def test_keys_are_for_their_owner_only(tmp_path: Path) -> None:
    ensure(tmp_path / "lan", NAMES)
    assert stat.S_IMODE((tmp_path / "lan").stat().st_mode) == 0o700
    modes = {path.name: oct(stat.S_IMODE(path.stat().st_mode)) for path in (tmp_path / "lan").iterdir()}
    assert modes["root.key"] == "0o600"
    assert modes["server.key"] == "0o600"


def test_nothing_is_made_again_while_it_is_good(tmp_path: Path) -> None:
    first = ensure(tmp_path, NAMES, now=NOW)
    before = (first.certificate.read_bytes(), first.root.read_bytes())
    again = ensure(tmp_path, NAMES, now=NOW + datetime.timedelta(days=60))
    assert (first.renewed, again.renewed) == (True, False)
    assert (again.certificate.read_bytes(), again.root.read_bytes()) == before


@pytest.mark.parametrize(("days", "renewed"), [(60, False), (61, True), (200, True)])
def test_the_leaf_is_renewed_when_less_than_thirty_days_are_left(
    tmp_path: Path, days: int, renewed: bool
) -> None:
    root = ensure(tmp_path, NAMES, now=NOW).root.read_bytes()
    again = ensure(tmp_path, NAMES, now=NOW + datetime.timedelta(days=days))
    assert again.renewed is renewed
    assert again.root.read_bytes() == root


def test_the_leaf_is_renewed_when_an_address_changes_and_phones_go_on_trusting(tmp_path: Path) -> None:
    root = ensure(tmp_path, NAMES).root.read_bytes()
    paths = ensure(tmp_path, Names(NAMES.hosts, ("10.1.2.3",)))
    assert paths.renewed
    assert paths.root.read_bytes() == root
    with tls_server(paths) as port:
        shake_hands(port, paths.root, "10.1.2.3")


def test_a_lost_leaf_is_made_anew_and_a_damaged_authority_is_refused(tmp_path: Path) -> None:
    paths = ensure(tmp_path, NAMES)
    paths.key.unlink()
    assert ensure(tmp_path, NAMES).renewed
    (tmp_path / "root.key").write_bytes(b"not a key")
    with pytest.raises(authority.CannotSecure) as told:
        ensure(tmp_path, NAMES)
    assert told.value.message == f"The certificate authority in {tmp_path} is damaged."


def test_the_fingerprint_is_what_openssl_prints(tmp_path: Path) -> None:
    assert root_certificate(tmp_path) is None
    paths = ensure(tmp_path, NAMES)
    der = root_certificate(tmp_path)
    assert der is not None
    # hashlib and the ssl module, not the library that made it.
    plain = hashlib.sha256(ssl.PEM_cert_to_DER_cert(paths.root.read_text())).hexdigest().upper()
    assert fingerprint(der).replace(":", "") == plain
    assert len(fingerprint(der).split(":")) == 32


def test_this_machine_is_known_by_localhost_and_never_by_loopback_on_the_lan() -> None:
    names = names_here()
    assert names.hosts[-1] == "localhost"
    assert names.addresses[-1] == "127.0.0.1"
    assert "127.0.0.1" not in lan_addresses()
