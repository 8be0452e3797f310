"""`manage.py serve` as a real process: it answers, ends cleanly, and says each fault in one sentence."""

import os
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.browser.server import ROOT, Server
from tests.ports import free_port


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    it = Server(tmp_path / "site")
    yield it
    it.kill()


def refused(data: Path, *words: str, **more: str) -> str:
    """Run ``serve`` until it gives up; what it said, which must be one line and no traceback."""
    env = {k: v for k, v in os.environ.items() if not k.startswith("MISHO_") and k != "DATABASE_URL"}
    process = subprocess.Popen(
        [sys.executable, "manage.py", "serve", *words],
        cwd=ROOT,
        env={**env, "MISHO_DATA": str(data), **more},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    try:
        out, err = process.communicate(timeout=90)
    finally:
        # One that was not refused serves on, with a worker of its own.
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
            process.communicate()
    assert process.returncode == 1, out + err
    assert err.count("\n") == 1, err
    return err.strip()


def test_it_serves_and_ends_on_sigterm(server: Server) -> None:
    server.start()
    link = server.entry_link()
    said = server.log.read_text()
    assert f"http://localhost:{server.port}/" in said
    with urllib.request.urlopen(f"http://localhost:{server.port}{link}") as page:
        assert page.status == 200
    assert server.process is not None
    server.process.send_signal(signal.SIGTERM)
    assert server.process.wait(timeout=30) == 0
    assert "Traceback" not in server.log.read_text()
    with pytest.raises(urllib.error.URLError):
        urllib.request.urlopen(f"http://localhost:{server.port}/sign-in/", timeout=5)


def test_it_says_where_to_go_only_once_it_answers(server: Server) -> None:
    process = subprocess.Popen(
        [sys.executable, "manage.py", "serve", "--port", str(server.port)],
        cwd=ROOT,
        env=server.env,
        stdout=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    server.process = process  # type: ignore[assignment]
    assert process.stdout is not None
    assert process.stdout.readline() == (
        f"Misho is served at http://localhost:{server.port}/ (Ctrl+C ends it)\n"
    )
    with urllib.request.urlopen(f"http://localhost:{server.port}/sign-in/") as page:  # at the first try
        assert page.status == 200


def test_no_worker_outlives_the_main_process(server: Server) -> None:
    server.start()
    assert server.process is not None
    os.kill(server.process.pid, signal.SIGKILL)  # the main process alone, not its group
    server.process.wait()
    end = time.monotonic() + 30
    while time.monotonic() < end:
        with socket.socket() as probe:
            # A port in TIME_WAIT is free by this; one that somebody listens on is not.
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind(("127.0.0.1", server.port))
            except OSError:
                continue
        break
    else:
        os.killpg(server.process.pid, signal.SIGKILL)
        pytest.fail("the port is still held")
    server.process = None
    server.start()


def test_the_worker_is_no_fork_of_a_process_with_threads(server: Server) -> None:
    # A fork keeps locks that other threads hold at that moment: the worker then hung at the first password,
    # in OpenSSL. Whether it does is a matter of luck, so how the worker was made is looked at instead.
    server.start()
    assert server.process is not None
    main = server.process.pid
    below = Path(f"/proc/{main}/task/{main}/children").read_text().split()
    made_by = [Path(f"/proc/{pid}/cmdline").read_text().split("\0") for pid in below]
    assert len([words for words in made_by if any("spawn_main" in word for word in words)]) == 1, made_by
    assert not [words for words in made_by if "serve" in words], made_by


def test_static_files_are_compressed_and_kept_for_ever(server: Server) -> None:
    server.start()
    built = sorted((ROOT / "frontend" / "dist" / "assets").glob("main-*.js"))
    assert built, "no script of the app in dist/assets"
    # Vite hashed this name already; a second hash would part it from what the phone's worker lists.
    asked = urllib.request.Request(
        f"http://localhost:{server.port}/static/assets/{built[0].name}", headers={"Accept-Encoding": "br"}
    )
    with urllib.request.urlopen(asked) as answer:
        assert answer.headers["Content-Encoding"] == "br"
        assert "immutable" in answer.headers["Cache-Control"]
    collected = {path.name for path in (server.data / "static" / "assets").iterdir()}
    names = {path.name for path in (ROOT / "frontend" / "dist" / "assets").iterdir()}
    assert {name for name in collected if not name.endswith((".br", ".gz"))} == names
    with urllib.request.urlopen(f"http://localhost:{server.port}/bench/") as page:
        assert f'src="/static/assets/{built[0].name}"' in page.read().decode()


def test_a_taken_port(tmp_path: Path) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        said = refused(tmp_path, "--port", str(port))
    assert said == f"CommandError: Port {port} is taken by another program. Try: --port {port + 1}"


def test_a_data_folder_that_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    said = refused(tmp_path / "file" / "data", "--port", str(free_port()))
    assert said == (
        f"CommandError: The data folder {tmp_path}/file/data cannot be written: Not a directory. "
        "Give yourself the right to write there, or set MISHO_DATA to another folder."
    )


def test_a_database_of_a_newer_version(server: Server) -> None:
    server.manage("migrate", "--verbosity", "0")
    with sqlite3.connect(server.data / "misho.sqlite3") as db:
        later = ("nursery", "9001_from_later", "2040-01-01")
        db.execute("INSERT INTO django_migrations (app, name, applied) VALUES (?, ?, ?)", later)
    assert refused(server.data, "--port", str(server.port)) == (
        "CommandError: The database was made by a newer version of Misho (it knows nursery.9001_from_later). "
        "Update Misho, or set MISHO_DATA to another folder."
    )


def test_a_file_that_is_no_database(tmp_path: Path) -> None:
    (tmp_path / "misho.sqlite3").write_bytes(b"not a database, " * 512)
    assert refused(tmp_path, "--port", str(free_port())) == (
        "CommandError: The database cannot be used: file is not a database. "
        "Check that its file in MISHO_DATA is Misho's and that no other program holds it."
    )


def test_a_database_server_that_does_not_answer(tmp_path: Path) -> None:
    url = f"postgres://misho@127.0.0.1:{free_port()}/misho"
    said = refused(tmp_path, "--port", str(free_port()), DATABASE_URL=url)
    assert said.startswith("CommandError: The database cannot be used: ")
    assert said.endswith(". Check that DATABASE_URL is right and that no other program holds it.")


def test_a_data_folder_with_something_in_the_way(server: Server) -> None:
    (server.data / "static").write_text("not a folder")
    said = refused(server.data, "--port", str(server.port))
    assert said.startswith(f"CommandError: The data folder {server.data} cannot be used: ")


def test_a_missing_front_end_build(tmp_path: Path) -> None:
    unbuilt = {"DJANGO_SETTINGS_MODULE": "tests.house.unbuilt"}
    said = refused(tmp_path / "data", "--port", str(free_port()), **unbuilt)
    missing = tmp_path / "data" / "no-such-dist" / "worker.js"
    assert said == (
        f"CommandError: The front end is not built: {missing} is missing. Run: python -m pip install -e ."
    )


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--port", "0"), "CommandError: Port 0 cannot be. Use --port with 1 to 65535."),
        (("--port", "70000"), "CommandError: Port 70000 cannot be. Use --port with 1 to 65535."),
        (
            ("--host", "203.0.113.9"),  # of the addresses that RFC 5737 keeps for examples
            "CommandError: This machine has no address 203.0.113.9: Cannot assign requested address. "
            "Use --host 127.0.0.1 (this machine only) or 0.0.0.0 (all of its addresses).",
        ),
    ],
)
def test_an_address_that_cannot_be(tmp_path: Path, words: tuple[str, str], said: str) -> None:
    assert refused(tmp_path, *words) == said
