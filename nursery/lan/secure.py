"""Https for one run of the server: the certificate, its renewal, and the plain page beside it."""

from pathlib import Path

from .addresses import Names, names_here
from .authority import CannotSecure, Paths, ensure, fingerprint, root_certificate
from .plain import PlainServer, pages

PLAIN_FILE = "plain.txt"


def folder_of(data: Path) -> Path:
    """Where the authority of a site is kept."""
    return data / "lan"


def plain_address(folder: Path) -> str:
    """Where the plain page is served now, or ""."""
    try:
        return (folder / PLAIN_FILE).read_text(encoding="ascii").strip()
    except FileNotFoundError:
        return ""


def addresses(names: Names, port: int) -> list[str]:
    """Where phones find the shed, the likeliest first: by number, then by name."""
    named = [host for host in names.hosts if host.endswith(".local")]
    shown = [address for address in names.addresses if address != "127.0.0.1"]
    return [f"https://{host}:{port}/" for host in (*shown, *named)] or [f"https://localhost:{port}/"]


class Secure:
    """What ``serve --lan`` holds while it runs.

    Raises
    ------
    CannotSecure : the certificates cannot be made, or the plain page's port is taken.
    """

    def __init__(self, data: Path, host: str, port: int, plain_port: int) -> None:
        self._folder, self._port = folder_of(data), port
        self._names = names_here()
        self.paths: Paths = ensure(self._folder, self._names)
        der = root_certificate(self._folder) or b""
        self.mark = fingerprint(der)
        self.addresses = addresses(self._names, port)
        try:
            self._plain = PlainServer(
                host, plain_port, addresses=self.addresses, certificate=der, mark=self.mark
            )
        except OSError as fault:
            raise CannotSecure(
                f"The plain page cannot be served on port {plain_port}: {fault.strerror or fault}.",
                field="plain_port",
                mend="Choose another one with --plain-port.",
            ) from fault

    @property
    def plain_port(self) -> int:
        return self._plain.port

    @property
    def plain_address(self) -> str:
        """What to type into a phone that does not trust the server yet."""
        host = self.addresses[0].removeprefix("https://").rpartition(":")[0]
        return f"http://{host}:{self.plain_port}/"

    def begin(self) -> None:
        """Serve the plain page, and leave word of it for the shed's pages: those run in another process."""
        self._plain.begin()
        (self._folder / PLAIN_FILE).write_text(self.plain_address, encoding="ascii")

    def renew(self) -> bool:
        """Make a new leaf when the old one ends soon or this machine's names have changed; whether it did."""
        self._names = names_here()
        self.paths = ensure(self._folder, self._names)
        if self.paths.renewed:
            self.addresses = addresses(self._names, self._port)
            self._plain.pages = pages(self.addresses, self.mark)
        return self.paths.renewed

    def end(self) -> None:
        (self._folder / PLAIN_FILE).unlink(missing_ok=True)
        self._plain.end()
