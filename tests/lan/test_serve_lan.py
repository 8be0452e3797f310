"""``serve --lan`` as a real process: https that a trusting client accepts, and the plain page beside it."""

import os
import re
import signal
import ssl
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

from tests.browser.server import PATIENCE, ROOT
from tests.ports import free_port


def opened(address: str, context: ssl.SSLContext) -> Any:
    """The page, as soon as the worker listens. A certificate that is not trusted fails at once."""
    end = time.monotonic() + PATIENCE
    while True:
        try:
            return urllib.request.urlopen(address, context=context, timeout=30)
        except urllib.error.URLError as fault:
            if not isinstance(fault.reason, ConnectionRefusedError) or time.monotonic() > end:
                raise


def test_it_serves_by_https_and_says_how_to_trust_it(tmp_path: Path) -> None:
    kept = {k: v for k, v in os.environ.items() if not k.startswith("MISHO_") and k != "DATABASE_URL"}
    port, plain = free_port(), free_port()
    process = subprocess.Popen(
        [sys.executable, "manage.py", "serve", "--lan", "--port", str(port), "--plain-port", str(plain)],
        cwd=ROOT,
        env={**kept, "MISHO_DATA": str(tmp_path), "PYTHONUNBUFFERED": "1"},
        stdout=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    assert process.stdout is not None
    try:
        said = []
        for line in process.stdout:
            said.append(line)
            if "and password" in line:
                break
        text = "".join(said)
        assert re.search(rf"Misho is served at https://\S+:{port}/ ", text), text
        assert re.search(rf"starts at http://\S+:{plain}/", text)
        mark = re.search(r"([0-9A-F]{2}:){31}[0-9A-F]{2}", text)
        assert mark
        trusting = ssl.create_default_context(cafile=tmp_path / "lan" / "root.pem")
        with opened(f"https://127.0.0.1:{port}/sign-in/", trusting) as page:
            assert page.status == 200
            assert "; Secure" in page.headers["Set-Cookie"]
        with urllib.request.urlopen(f"http://127.0.0.1:{plain}/bench/") as page:
            told = page.read().decode()
        assert mark.group() in told
        assert f":{port}/" in told
        process.send_signal(signal.SIGTERM)
        assert process.wait(timeout=60) == 0
    finally:
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait()
    assert not (tmp_path / "lan" / "plain.txt").exists()
