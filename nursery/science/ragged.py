"""Sequences of many trees in flat arrays: tree i owns the entries whose ``owner`` is i."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]


def floats(values: ArrayLike) -> Floats:
    return np.asarray(values, dtype=np.float64)


def ints(values: ArrayLike) -> Ints:
    return np.asarray(values, dtype=np.intp)


@dataclass(frozen=True)
class Ragged:
    """The order in which entries are taken.

    Attributes
    ----------
    order : (m,) the entries sorted by owner, then time, then the order in which they were given.
    rank : (m,) of each sorted entry: 0 for its owner's first, 1 for the second, ...
    owner : (m,) owner of each sorted entry.
    count : (n,) entries of each owner.
    """

    order: Ints
    rank: Ints
    owner: Ints
    count: Ints

    def steps(self) -> Iterator[tuple[Ints, Ints]]:
        """All first entries, then all second ones, ...: pairs of (owners, entries), equal in length."""
        by_rank = np.argsort(self.rank, kind="stable")
        ends = np.cumsum(np.bincount(self.rank)) if self.rank.size else np.zeros(0, np.intp)
        start = 0
        for end in ends:
            picked = by_rank[start:end]
            yield self.owner[picked], self.order[picked]
            start = int(end)

    def last(self) -> tuple[Ints, Ints]:
        """Owners that have any entry, and the last entry of each."""
        at = np.flatnonzero(self.rank == self.count[self.owner] - 1)
        return self.owner[at], self.order[at]


def ragged(owner: ArrayLike, time: ArrayLike, n: int) -> Ragged:
    """Sort flat entries into sequences.

    Parameters
    ----------
    owner : (m,) index of the owner, 0..n-1.
    time : (m,) anything that sorts.
    n : number of owners, with or without entries.
    """
    own = ints(owner)
    order = np.lexsort((floats(time), own))
    sorted_owner = own[order]
    count = np.bincount(own, minlength=n)
    starts = np.concatenate(([0], np.cumsum(count)[:-1])) if n else np.zeros(0, np.intp)
    rank = np.arange(own.size) - starts[sorted_owner]
    return Ragged(order, rank.astype(np.intp), sorted_owner, count.astype(np.intp))
