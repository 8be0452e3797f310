"""On which half of the globe a tree stands: as its bench's site, else as all sites, else in the north."""

from collections.abc import Mapping, Sequence
from uuid import UUID

import numpy as np
from django.db.models import Case, F, Subquery, When

from nursery.models import Bench, Site, Tree
from nursery.science.ragged import Bools

#: Under this name a query of trees carries their latitude.
NAME = "stands_at"


def latitude() -> Case:
    """A tree's latitude [degrees north], to annotate trees with as ``NAME``; null where nobody said.

    For a tree without a bench it is that of the northernmost site: with one site, of that one.
    """
    sites = Site.objects.order_by(F("latitude").desc(nulls_first=True)).values("latitude")
    return Case(When(bench__isnull=True, then=Subquery(sites[:1])), default=F("bench__site__latitude"))


def south(trees: Sequence[Tree]) -> Bools:
    """(n,) whether each tree has the seasons of the south; in one query where trees were not annotated."""
    if all(hasattr(tree, NAME) for tree in trees):
        found = [getattr(tree, NAME) for tree in trees]
    else:
        rows = Tree.objects.filter(id__in=[tree.id for tree in trees]).order_by()
        at = dict(rows.annotate(**{NAME: latitude()}).values_list("id", NAME))
        found = [at.get(tree.id) for tree in trees]
    return np.array([degrees is not None and degrees < 0 for degrees in found], dtype=bool)


def halves() -> Mapping[UUID | None, bool]:
    """Whether each bench is in the south, and under None what goes for trees without one; two queries."""
    north = [degrees is None or degrees >= 0 for degrees in Site.objects.values_list("latitude", flat=True)]
    benches = Bench.objects.order_by().values_list("id", "site__latitude")
    told: dict[UUID | None, bool] = {id: degrees is not None and degrees < 0 for id, degrees in benches}
    return {**told, None: bool(north) and not any(north)}
