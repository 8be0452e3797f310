"""The bench app's own tests, run by the Node that comes with pip; and the build that pip runs."""

import gzip
import json
import re
import shutil
from pathlib import Path

import pytest

from frontend import node

ROOT = Path(__file__).resolve().parents[2]
FRONTEND = ROOT / "frontend"
#: The first JavaScript that a phone has to load, compressed [bytes].
MOST_SCRIPT = 80 * 1024


@pytest.fixture(scope="module", autouse=True)
def packages() -> None:
    """Once per checkout: what the lock file says, tests included."""
    node.install(tests=True)


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the front end to build and break, sharing the packages of the checkout."""
    copy = tmp_path_factory.mktemp("own") / "frontend"
    shutil.copytree(FRONTEND, copy, ignore=shutil.ignore_patterns("node_modules", "dist", "__pycache__"))
    (copy / "node_modules").symlink_to(FRONTEND / "node_modules", target_is_directory=True)
    return copy


@pytest.mark.parametrize("project", [".", "bench/worker"])
def test_types_hold(project: str) -> None:
    assert node.node(FRONTEND / "node_modules/typescript/bin/tsc", "--noEmit", "-p", project) == ""


def test_vitest_passes_with_nothing_skipped(tmp_path: Path) -> None:
    report = tmp_path / "report.json"
    vitest = FRONTEND / "node_modules/vitest/vitest.mjs"
    node.node(vitest, "run", "--reporter=default", "--reporter=json", f"--outputFile.json={report}")
    told = json.loads(report.read_text())
    assert told["success"] is True
    assert (told["numFailedTests"], told["numPendingTests"], told["numTodoTests"]) == (0, 0, 0)
    assert told["numPassedTests"] > 100


def test_the_build_is_whole_small_and_names_only_its_own_files(own: Path) -> None:
    dist = node.build(own)
    manifest = json.loads((dist / ".vite" / "manifest.json").read_text())
    entry = manifest["bench/app/main.tsx"]
    assert "imports" not in entry
    assert len(gzip.compress((dist / entry["file"]).read_bytes())) < MOST_SCRIPT
    worker = (dist / "worker.js").read_text()
    kept = set(re.findall(r"/static/(assets/[\w.-]+)", worker))
    assert kept == {f"assets/{path.name}" for path in (dist / "assets").iterdir()}
    assert {entry["file"], *entry["css"]} <= kept


def test_the_worker_changes_with_the_page_though_no_script_does(own: Path) -> None:
    def shell() -> str:
        found = re.findall(r"[`\"']([0-9a-f]{16})[`\"']", (node.build(own) / "worker.js").read_text())
        assert len(found) == 1
        return str(found[0])

    page = own / "templates" / "bench" / "index.html"
    text = page.read_text()
    before = shell()
    try:
        page.write_text(text + "<!-- other -->")
        assert shell() != before
    finally:
        page.write_text(text)
    assert shell() == before


def test_the_hint_to_make_all_code_ready_stands_before_it(own: Path) -> None:
    # Below the first line of code a browser does not heed it.
    assets = node.build(own) / "assets"
    hinted = [
        one.name
        for one in assets.glob("*.js")
        if one.read_text().startswith("//# allFunctionsCalledOnLoad\n")
    ]
    assert sorted(name.split("-")[0] for name in hinted) == ["main", "open"]


def test_the_first_file_is_a_plain_strict_script_and_none_imports_it(own: Path) -> None:
    # A browser keeps compiled code beside a plain script, and beside no module.
    dist = node.build(own)
    entry = json.loads((dist / ".vite" / "manifest.json").read_text())["bench/app/main.tsx"]["file"]
    code = (dist / entry).read_text()
    assert code.startswith('//# allFunctionsCalledOnLoad\n"use strict";')
    assert not re.search(r"\bexport\b\s*[{*]|\bimport\.meta\b|\bimport\s*[{*`\"']", code)
    others = [path.read_text() for path in (dist / "assets").glob("*.js") if path.name != Path(entry).name]
    assert [other for other in others if Path(entry).name in other] == []
    assert sum("=globalThis.mishoFirst;" in other for other in others) >= 3


def test_nothing_exported_changes_later() -> None:
    # What is loaded later takes the first file's exports as they are once it has run.
    sources = [*(FRONTEND / "bench").rglob("*.ts"), *(FRONTEND / "bench").rglob("*.tsx")]
    assert len(sources) > 100
    changing = re.compile(r"^export (let|var)\b", re.MULTILINE)
    assert [path.name for path in sources if changing.search(path.read_text())] == []


def test_a_build_that_fails_says_why_and_leaves_no_old_one(own: Path) -> None:
    entry = own / "bench" / "app" / "main.tsx"
    text = entry.read_text()
    try:
        entry.write_text('import "./not-there";\n')
        with pytest.raises(node.BuildFailed, match=r"vite.js build failed in .*\n(.*\n)*.*not-there"):
            node.build(own)
        assert not (own / "dist" / "worker.js").exists()
    finally:
        entry.write_text(text)


def test_a_build_without_a_worker_is_refused(own: Path) -> None:
    config = own / "vite.config.ts"
    text = config.read_text()
    try:
        assert text.count(", worker()]") == 1
        config.write_text(text.replace(", worker()]", "]"))
        with pytest.raises(node.BuildFailed, match=r"The build ended without worker.js in "):
            node.build(own)
    finally:
        config.write_text(text)


def test_packages_are_installed_once(own: Path) -> None:
    assert node.install(own, tests=True) is False
    assert node.install(own) is False


def test_the_lock_file_says_from_no_host_where_packages_come() -> None:
    packages = json.loads((FRONTEND / "package-lock.json").read_text())["packages"]
    assert packages["node_modules/vite"]["version"].startswith("8.")
    assert [name for name, one in packages.items() if "resolved" in one] == []
