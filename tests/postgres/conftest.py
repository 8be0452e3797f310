"""One PostgreSQL server for the tests of a file."""

from collections.abc import Iterator

import pytest

from tests.postgres.cluster import Cluster, cluster


@pytest.fixture(scope="module")
def server() -> Iterator[Cluster]:
    with cluster(careless=True) as running:
        yield running
