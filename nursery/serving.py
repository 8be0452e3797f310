"""What ``serve`` does before and while the server runs: checks, set-up, the daily roll-up, the server."""

import errno
import hashlib
import logging
import multiprocessing
import os
import signal
import socket
import tempfile
import threading
from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command
from django.db import DatabaseError, connection
from django.db.migrations.loader import MigrationLoader
from django.db.models import Min
from django.utils import timezone

from nursery import keeping
from nursery.answering import Answers
from nursery.errors import MishoError
from nursery.journal import fill_stays, settle_pending
from nursery.lan import Secure
from nursery.models import Fate, JournalRecord, Standing, Tree
from nursery.rollup import roll_up_all, rules, settle_stale

log = logging.getLogger(__name__)

#: How often the clock is looked at for a new day [s].
LOOK_AT_CLOCK_S = 60.0
#: Static files that no page asks for: the API has no pages of its own, and the worker is served at the root.
NOT_SERVED = ("rest_framework", "worker.js")


class CannotServe(MishoError):
    """Something is in the way of serving; the message says what, the mend what to do."""

    code = "cannot_serve"


def check_build(dist: Path) -> None:
    """Refuse when the front end was not built: the phone's app and its worker come from there."""
    for name in ("worker.js", ".vite/manifest.json"):
        if not (dist / name).is_file():
            raise CannotServe(
                f"The front end is not built: {dist / name} is missing.",
                field="dist",
                mend="Run: python -m pip install -e .",
            )


def check_folder(folder: Path) -> None:
    """Make the data folder, and prove by a file that it can be written."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass
    except OSError as fault:
        raise CannotServe(
            f"The data folder {folder} cannot be written: {fault.strerror or fault}.",
            field="MISHO_DATA",
            mend="Give yourself the right to write there, or set MISHO_DATA to another folder.",
        ) from fault


def check_port(host: str, port: int) -> None:
    """Bind the address once and let it go, so that a taken port is found before any work is done."""
    if not 1 <= port <= 65535:
        raise CannotServe(f"Port {port} cannot be.", field="port", mend="Use --port with 1 to 65535.")
    try:
        family, _, _, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    except socket.gaierror as fault:
        raise CannotServe(
            f"The host {host} is not known.", field="host", mend="Use --host 127.0.0.1 or 0.0.0.0."
        ) from fault
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        # As the server does it: a port still in TIME_WAIT after a restart is free.
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(address)
        except OSError as fault:
            raise _port_fault(host, port, fault) from fault


def _port_fault(host: str, port: int, fault: OSError) -> CannotServe:
    if fault.errno == errno.EADDRINUSE:
        said, mend = f"Port {port} is taken by another program.", f"Try: --port {port + 1}"
    elif fault.errno == errno.EACCES:
        said, mend = f"Port {port} is kept for the system.", "Use a port from 1024 up: --port 8000"
    else:
        said = f"This machine has no address {host}: {fault.strerror or fault}."
        mend = "Use --host 127.0.0.1 (this machine only) or 0.0.0.0 (all of its addresses)."
    return CannotServe(said, field="port", mend=mend)


def check_database() -> None:
    """Refuse a database that a newer version changed: this one would misread it, or lose what it holds."""
    try:
        loader = MigrationLoader(connection)
        applied, known = set(loader.applied_migrations or {}), set(loader.disk_migrations or {})
    except DatabaseError as fault:
        raise database_fault(fault) from fault
    ours = loader.migrated_apps
    newer = sorted(f"{app}.{name}" for app, name in applied - known if app in ours)
    if newer:
        raise CannotServe(
            f"The database was made by a newer version of Misho (it knows {newer[-1]}).",
            field="database",
            mend="Update Misho, or set MISHO_DATA to another folder.",
        )


def database_fault(fault: DatabaseError) -> CannotServe:
    """The database's own words, on one line, and where to look."""
    said = " ".join(str(fault).split()).rstrip(".")
    engine = connection.vendor
    where = "its file in MISHO_DATA is Misho's" if engine == "sqlite" else "DATABASE_URL is right"
    return CannotServe(
        f"The database cannot be used: {said}.",
        field="database",
        mend=f"Check that {where} and that no other program holds it.",
    )


def set_up() -> None:
    """Bring the database and the collected static files up to this version."""
    call_command("migrate", interactive=False, verbosity=0)
    keeping.settle()
    collect()
    if not Standing.objects.exists():
        _note_rules()


def collect() -> None:
    """Collect and compress the static files, unless they are those of the last start: it takes seconds."""
    mark = Path(settings.STATIC_ROOT) / "collected.txt"
    now = _static_files()
    if mark.is_file() and mark.read_text(encoding="ascii") == now:
        return
    call_command("collectstatic", interactive=False, verbosity=0, ignore_patterns=list(NOT_SERVED))
    mark.parent.mkdir(parents=True, exist_ok=True)
    mark.write_text(now, encoding="ascii")


def _static_files() -> str:
    """A hash of the names, sizes and times of all static files."""
    found = []
    for finder in get_finders():
        for name, storage in finder.list(list(NOT_SERVED)):
            state = os.stat(storage.path(name))
            found.append(f"{name} {state.st_size} {state.st_mtime_ns}")
    return hashlib.sha256("\n".join(sorted(found)).encode()).hexdigest()


def catch_up() -> None:
    """Judge what a crash left pending, and roll up when the standings are of an older day, older rules or
    missing.
    """
    today = timezone.localdate()
    if JournalRecord.objects.filter(fate=Fate.PENDING).exists():
        settle_pending(today=today)
    # Usually the phone that left them waiting fetches them at once; this is for one that went away.
    settle_stale(today=today)
    oldest = Standing.objects.aggregate(oldest=Min("as_of"))["oldest"]
    missing = Tree.objects.filter(left_how="", standing__isnull=True).exists()
    if missing or (oldest is not None and (oldest < today or not _by_these_rules())):
        fill_stays()
        roll_up_all(today, refit=True)
        _note_rules()


def _by_these_rules() -> bool:
    """Whether the standings were computed by this version: an update makes them anew on the same day."""
    mark = _rules_mark()
    return mark.is_file() and mark.read_text(encoding="ascii") == rules()


def _note_rules() -> None:
    _rules_mark().write_text(rules(), encoding="ascii")


def _rules_mark() -> Path:
    return Path(settings.DATA_DIR) / "rules.txt"


def fold_in() -> tuple[int, int]:
    """Write what is in SQLite's log into the database file, as far as no reader needs it; waits for nobody.

    Returns the pages that were in the log, and those of them that are in the file now; (0, 0) elsewhere.
    """
    if connection.vendor != "sqlite":
        return 0, 0
    with connection.cursor() as cursor:
        _, in_log, folded = cursor.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchone()
    return in_log, folded


class Daily(threading.Thread):
    """Rolls up when the date changes: dues, ages and forecasts move although nobody wrote a record.

    Then makes the day's backup, and renews the certificate in time; folds SQLite's log in each minute.
    """

    def __init__(self, secure: Secure | None = None) -> None:
        super().__init__(name="daily roll-up", daemon=True)
        self._over = threading.Event()
        self._secure = secure

    def run(self) -> None:
        while not self._over.wait(LOOK_AT_CLOCK_S):
            try:
                catch_up()
            except Exception:
                # The next look tries again; serving goes on with yesterday's standings meanwhile.
                log.exception("the daily roll-up failed")
            try:
                keeping.keep_up()
                fold_in()
                if self._secure is not None and self._secure.renew():
                    # The server starts its worker anew, which reads the new certificate.
                    os.kill(os.getpid(), signal.SIGHUP)
            except Exception:
                log.exception("the daily backup or the certificate failed")
            finally:
                connection.close()

    def end(self) -> None:
        self._over.set()


def address(host: str, port: int) -> str:
    """Where a browser goes: the proxy's name when one was given, else this machine's."""
    if settings.CSRF_TRUSTED_ORIGINS:
        return str(settings.CSRF_TRUSTED_ORIGINS[0]).rstrip("/")
    # localhost, because a browser counts it as secure by name, and a phone's records belong to the name used.
    shown = "localhost" if host in {"127.0.0.1", "0.0.0.0", "::1", "::"} else host
    return f"http://[{shown}]:{port}" if ":" in shown else f"http://{shown}:{port}"


def run(host: str, port: int, ready: Callable[[], None], secure: Secure | None = None) -> None:
    """Serve until SIGTERM or SIGINT, by https where ``secure``. ``ready``: called once it answers.

    One worker with one thread: SQLite has one writer anyway, and answers are short.
    """
    from granian.constants import Interfaces
    from granian.log import LogLevels
    from granian.server import Server

    # The worker is a process of its own and must find the same settings.
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "nursery.settings")
    # Not a fork: one made while another thread holds a lock of OpenSSL's leaves it locked for ever in the
    # worker, which then hangs at the first password.
    multiprocessing.set_start_method("spawn", force=True)
    server = Server(
        "nursery.wsgi:application",
        address=host,
        port=port,
        interface=Interfaces.WSGI,
        workers=1,
        blocking_threads=1,
        log_level=LogLevels.warning,
        respawn_failed_workers=True,
        # An idle keep-alive connection must not hold up the end.
        workers_kill_timeout=10,
        ssl_cert=secure.paths.certificate if secure else None,
        ssl_key=secure.paths.key if secure else None,
    )
    first = Answers(host, port, ready, secure=secure is not None)
    server.on_startup(first.start)
    daily = Daily(secure)
    daily.start()
    if secure:
        secure.begin()
    connection.close()
    try:
        server.serve()
    finally:
        first.end()
        daily.end()
        if secure:
            secure.end()
