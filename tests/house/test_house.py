"""The house rules: layout, linters, types, layers, migrations, deployment, and docs that tell the truth."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import get_commands

ROOT = Path(__file__).resolve().parents[2]
#: What stands at the top, besides dotfiles and what a build or a start leaves (all ignored by git).
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "manage.py"}
TOP_FOLDERS = {"nursery", "api", "frontend", "tests", "fixtures_demo"}
CODE = (".py", ".ts", ".tsx", ".css", ".html", ".json", ".txt", ".md", ".toml", ".svg")
#: A file longer than this is two files.
LONGEST = 400
#: Made by machines, or whole by nature.
LONG_BY_NATURE = {
    "frontend/package-lock.json",
    "tests/benchmarks/package-lock.json",
    "tests/benchmarks/lighthouse/package-lock.json",
}


def tracked() -> list[str]:
    """All files of the project, as git knows them or would take them."""
    listed = subprocess.run(
        ["git", "-c", f"safe.directory={ROOT}", "ls-files", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return [name for name in listed.stdout.splitlines() if (ROOT / name).is_file()]


def run(*words: str, **env: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", *words], cwd=ROOT, env={**os.environ, **env}, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_top_holds_what_it_should() -> None:
    names = {name.split("/")[0] for name in tracked()}
    assert {name for name in names if not name.startswith(".")} == TOP | TOP_FOLDERS


def test_ruff() -> None:
    run("ruff", "check", ".")
    run("ruff", "format", "--check", ".")


def test_types() -> None:
    run("mypy")


def test_layers() -> None:
    done = subprocess.run(
        [str(Path(sys.executable).with_name("lint-imports"))], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stdout


def test_no_migration_is_missing(tmp_path: Path) -> None:
    run("django", "makemigrations", "--check", "--dry-run", MISHO_DATA=str(tmp_path), **SETTINGS)


SETTINGS = {"DJANGO_SETTINGS_MODULE": "nursery.settings"}


def test_deployment_checks_are_clean(tmp_path: Path) -> None:
    secure = {"MISHO_SECURE": "1", "MISHO_PROXY": "1", "MISHO_HOSTS": "bench.example"}
    run(
        "django",
        "check",
        "--deploy",
        "--fail-level",
        "WARNING",
        MISHO_DATA=str(tmp_path),
        **SETTINGS,
        **secure,
    )


def test_files_are_short_enough_to_read() -> None:
    long = {
        name: lines
        for name in tracked()
        if name.endswith(CODE)
        and name not in LONG_BY_NATURE
        and "/migrations/" not in name
        and (lines := len((ROOT / name).read_text(encoding="utf-8").splitlines())) >= LONGEST
    }
    assert long == {}


def test_no_file_names_a_machine_or_a_registry() -> None:
    # A folder for throwaway files at the root of some machine; the host of a package registry.
    named = re.compile(r"(?<![\w.])/tm[p]/\w|https?://(?:registry|files|deb)\.")
    found = {
        f"{name}: {hit.group()}"
        for name in tracked()
        if name.endswith(CODE)
        for hit in named.finditer((ROOT / name).read_text(encoding="utf-8"))
    }
    assert found == set()


@pytest.mark.parametrize("document", ["README.md", "DEVELOPERS.md"])
def test_commands_in_the_documents_exist(document: str) -> None:
    named = set(re.findall(r"manage\.py (\w+)", (ROOT / document).read_text(encoding="utf-8")))
    assert named, "no command is named"
    assert named - set(get_commands()) == set()


def test_the_second_command_of_readme_is_what_ci_runs() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    second = [line for line in readme.splitlines() if "-m pytest" in line]
    assert len(second) == 1
    bare = second[0].replace("python3 -m venv .venv && ", "").replace(".venv/bin/python", "python")
    assert bare in (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()


def test_rooms_and_switches_named_for_contributors_exist() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    settings = (ROOT / "nursery" / "settings.py").read_text(encoding="utf-8")
    switches = set(re.findall(r"`(MISHO_[A-Z_]+)`", text))
    assert switches, "no switch is named"
    assert {name for name in switches if f'"{name}"' not in settings} == set()
    rooms = set(re.findall(r"^\| `([a-z_/]+/)`", text, flags=re.MULTILINE))
    assert rooms, "no room is named"
    assert {room for room in rooms if not (ROOT / room).is_dir()} == set()
