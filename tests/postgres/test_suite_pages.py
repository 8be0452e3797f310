"""What shows and keeps records, on PostgreSQL."""

from collections.abc import Iterable

from tests.postgres import suites
from tests.postgres.cluster import Cluster


def test_pages_and_backups_hold_on_postgresql_too(server: Cluster) -> None:
    counts = suites.run(server, "pages", suites.PAGES)
    assert counts["passed"] >= 270


def test_every_test_is_run_again_or_left_out_for_a_reason() -> None:
    rooms = [*suites.INTAKE, *suites.PAGES]
    found = (path.relative_to(suites.ROOT).as_posix() for path in suites.ROOT.glob("tests/*/test_*.py"))
    homeless = [name for name in found if not within(name, rooms) and not within(name, suites.LEFT_OUT)]
    assert homeless == []
    assert [name for name in (*rooms, *suites.LEFT_OUT) if not (suites.ROOT / name).exists()] == []


def within(name: str, places: Iterable[str]) -> bool:
    return any(name == place or name.startswith(f"{place}/") for place in places)
