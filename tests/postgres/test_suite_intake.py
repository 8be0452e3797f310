"""What takes records in, on PostgreSQL."""

from tests.postgres import suites
from tests.postgres.cluster import Cluster


def test_taking_in_holds_on_postgresql_too(server: Cluster) -> None:
    counts = suites.run(server, "intake", suites.INTAKE)
    assert counts["passed"] >= 400
