"""Who may import whom in the phone's app, read from its imports, those of types alone included."""

import re
from pathlib import Path

BENCH = Path(__file__).parents[2] / "frontend" / "bench"
IMPORT = re.compile(r"""(?:from|import)\s*\(?\s*"(\.[^"]*)\"""")


def sources() -> list[Path]:
    return [path for path in sorted(BENCH.rglob("*.ts*")) if ".test." not in path.name]


def imported(path: Path) -> set[Path]:
    """The files of the app that this one imports; those that are no TypeScript are passed over."""
    found = set()
    for named in IMPORT.findall(path.read_text("utf-8")):
        at = (path.parent / named).resolve()
        tried = [Path(f"{at}.ts"), Path(f"{at}.tsx"), at / "index.ts", at]
        found.update(next(([one] for one in tried if one.is_file() and one.suffix in (".ts", ".tsx")), []))
    return found - {path}  # a remark may name its own file


def test_no_files_import_each_other_in_a_circle() -> None:
    """What can be taken out is taken out, again and again; a circle is what stays."""
    left = {path: imported(path) for path in sources()}
    assert sum(map(len, left.values())) > 300, "the imports could not be read"
    while bare := [path for path, needs in left.items() if not needs & left.keys()]:
        for path in bare:
            del left[path]
    assert not left, "in a circle, or on the way to one: " + ", ".join(
        str(path.relative_to(BENCH)) for path in left
    )


def test_only_the_store_touches_the_database_and_only_sync_the_network() -> None:
    def outside(room: str, words: str) -> list[str]:
        found = [path for path in sources() if re.search(words, path.read_text("utf-8"))]
        return [str(path.relative_to(BENCH)) for path in found if path.relative_to(BENCH).parts[0] != room]

    assert outside("store", r'from "dexie"|\bindexedDB\.') == []
    # The worker hands the app's own files to the browser; it never asks the shed for anything else.
    assert set(outside("sync", r"\bfetch\(")) <= {"worker/worker.ts"}
    for path in sources():
        if path.relative_to(BENCH).parts[0] in ("screens", "scan"):
            assert not re.search(r'from "(\.\./)+(store|sync)/', path.read_text("utf-8")), path
