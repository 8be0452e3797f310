"""A certificate authority of this site alone, and a short-lived certificate for its server.

A phone that trusts the authority trusts it for this nursery's network only: its certificate is bound to
private addresses, ``.local`` and this machine's name (RFC 5280, 4.2.1.10), so a stolen key opens no bank.
Its key never leaves the data folder.
"""

import datetime
import os
from dataclasses import dataclass
from ipaddress import IPv4Network, IPv6Network, ip_address, ip_network
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from nursery.errors import MishoError

from .addresses import Names

AUTHORITY_DAYS = 3650
#: Phones refuse a leaf of more than 398 or 825 days; a short one limits the harm of a stolen key.
LEAF_DAYS = 90
RENEW_DAYS = 30
#: A phone's clock may be behind.
EARLIER = datetime.timedelta(days=1)
_PRIVATE = ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8", "fd00::/8")

Key = ec.EllipticCurvePrivateKey
Signed = tuple[x509.Certificate, Key]


class CannotSecure(MishoError):
    """The certificates cannot be read or written."""

    code = "cannot_secure"


@dataclass(frozen=True)
class Paths:
    """PEM files for the server, and whether the leaf was made just now."""

    certificate: Path
    key: Path
    root: Path
    renewed: bool


def ensure(folder: Path, names: Names, *, now: datetime.datetime | None = None) -> Paths:
    """Make what is missing: the authority once, the leaf when it ends within 30 days or names changed.

    Raises
    ------
    CannotSecure : the folder cannot be written, or the authority in it is damaged.
    """
    moment = now or datetime.datetime.now(datetime.UTC)
    root, key = folder / "root.pem", folder / "root.key"
    leaf, leaf_key = folder / "server.pem", folder / "server.key"
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        authority = _load(root, key)
        if authority is None:
            authority = _make_authority(names, moment)
            _save(root, key, authority)
        fresh = not _leaf_is_good(leaf, leaf_key, authority[0], names, moment)
        if fresh:
            _save(leaf, leaf_key, _make_leaf(authority, names, moment))
    except OSError as fault:
        raise CannotSecure(
            f"The folder {folder} cannot be used: {fault.strerror or fault}.",
            field="MISHO_DATA",
            mend="Give yourself the right to write there.",
        ) from fault
    return Paths(leaf, leaf_key, root, fresh)


def root_certificate(folder: Path) -> bytes | None:
    """The authority's certificate as phones want it (DER), or None when there is none yet."""
    try:
        pem = (folder / "root.pem").read_bytes()
    except FileNotFoundError:
        return None
    return x509.load_pem_x509_certificate(pem).public_bytes(serialization.Encoding.DER)


def fingerprint(der: bytes) -> str:
    """SHA-256 of a certificate as phones show it: ``AB:CD:...``."""
    return x509.load_der_x509_certificate(der).fingerprint(hashes.SHA256()).hex(":").upper()


def _load(certificate: Path, key: Path) -> Signed | None:
    if not certificate.exists() and not key.exists():
        return None
    try:
        loaded = x509.load_pem_x509_certificate(certificate.read_bytes())
        private = serialization.load_pem_private_key(key.read_bytes(), password=None)
    except (ValueError, FileNotFoundError) as fault:
        raise CannotSecure(
            f"The certificate authority in {certificate.parent} is damaged.",
            field="lan",
            mend="Put the folder back from a copy; or delete it, and trust the new one on each phone.",
        ) from fault
    assert isinstance(private, ec.EllipticCurvePrivateKey)
    return loaded, private


def _save(certificate: Path, key: Path, made: Signed) -> None:
    """Key first: a certificate without its key would be taken for a damaged pair."""
    pem = made[1].private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    for path, data, mode in (
        (key, pem, 0o600),
        (certificate, made[0].public_bytes(serialization.Encoding.PEM), 0o644),
    ):
        part = path.with_name(path.name + ".part")
        part.unlink(missing_ok=True)
        with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)


def _named(name: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name[:64])])


def _builder(name: x509.Name, key: Key, start: datetime.datetime, days: int) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(start - EARLIER)
        .not_valid_after(start + datetime.timedelta(days=days))
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def _make_authority(names: Names, now: datetime.datetime) -> Signed:
    key = ec.generate_private_key(ec.SECP256R1())
    name = _named(f"Misho at {names.hosts[0]}")
    permitted: list[x509.GeneralName] = [x509.DNSName(host) for host in ("local", *names.hosts)]
    networks = [ip_network(item) for item in _PRIVATE]
    networks += [ip_network(item) for item in names.addresses if not _within(item, networks)]
    permitted += [x509.IPAddress(item) for item in networks]
    certificate = (
        _builder(name, key, now, AUTHORITY_DAYS)
        .issuer_name(name)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(sign=False), critical=True)
        .add_extension(x509.NameConstraints(permitted, None), critical=True)
        .sign(key, hashes.SHA256())
    )
    return certificate, key


def _within(address: str, networks: list[IPv4Network | IPv6Network]) -> bool:
    return any(ip_address(address) in network for network in networks)


def _usage(*, sign: bool) -> x509.KeyUsage:
    """Of the leaf (``sign``: it signs handshakes) or of the authority (it signs certificates)."""
    return x509.KeyUsage(
        digital_signature=sign,
        key_cert_sign=not sign,
        crl_sign=not sign,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _covered(root: x509.Certificate, names: Names) -> list[x509.GeneralName]:
    """The names that the authority may vouch for. Others (a public address got since) would void the leaf."""
    held = root.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    networks = [ip_network(str(item.value)) for item in held if isinstance(item, x509.IPAddress)]
    domains = [item.value for item in held if isinstance(item, x509.DNSName)]
    hosts = [h for h in names.hosts if any(h == d or h.endswith("." + d) for d in domains)]
    inside = [a for a in names.addresses if _within(a, networks)]
    return [*map(x509.DNSName, hosts), *(x509.IPAddress(ip_address(item)) for item in inside)]


def _make_leaf(authority: Signed, names: Names, now: datetime.datetime) -> Signed:
    root, root_key = authority
    key = ec.generate_private_key(ec.SECP256R1())
    certificate = (
        _builder(_named(names.hosts[0]), key, now, LEAF_DAYS)
        .issuer_name(root.subject)
        .add_extension(x509.SubjectAlternativeName(_covered(root, names)), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(sign=True), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(root_key.public_key()), critical=False
        )
        .sign(root_key, hashes.SHA256())
    )
    return certificate, key


def _leaf_is_good(
    path: Path, key: Path, root: x509.Certificate, names: Names, now: datetime.datetime
) -> bool:
    try:
        leaf = x509.load_pem_x509_certificate(path.read_bytes())
        private = serialization.load_pem_private_key(key.read_bytes(), password=None)
        leaf.verify_directly_issued_by(root)
        held = leaf.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (OSError, ValueError, TypeError, InvalidSignature, x509.ExtensionNotFound):
        return False
    if private.public_key() != leaf.public_key() or set(held) != set(_covered(root, names)):
        return False
    return leaf.not_valid_after_utc - now >= datetime.timedelta(days=RENEW_DAYS)
