"""What shows and keeps records, on PostgreSQL."""

from tests.postgres import suites
from tests.postgres.cluster import Cluster


def test_pages_and_backups_hold_on_postgresql_too(server: Cluster) -> None:
    counts = suites.run(server, "pages", suites.PAGES)
    assert counts["passed"] >= 200


def test_every_test_is_run_again_or_left_out_for_a_reason() -> None:
    named = [*suites.INTAKE, *suites.PAGES, *suites.LEFT_OUT]
    files = [path.relative_to(suites.ROOT).as_posix() for path in suites.ROOT.glob("tests/**/test_*.py")]
    files = [name for name in files if "node_modules" not in name]
    homes = {name: sum(name == room or name.startswith(f"{room}/") for room in named) for name in files}
    assert {name: count for name, count in homes.items() if count != 1} == {}
