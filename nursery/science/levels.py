"""Readings -> tree -> lot -> species: Gaussian levels with partial pooling, in closed form for all at once.

=======  ==========================================================================================
y        readings of tree i, less what is expected of its species, (w,)
Z        design of the readings, (w, p)
theta    coefficients: of the tree ~ N(of its lot, T), of the lot ~ N(of the species, L),
         of the species ~ N(0, P); all (p,) and (p, p)
R        covariance of the readings about Z theta: error of reading and the tree's own wandering, (w, w)
A, b, c  what readings say of a level's theta: ln p(y | theta) = -(theta' A theta - 2 b' theta + c) / 2 + ...
=======  ==========================================================================================

V = R + Z T Z'; A = Z' V^-1 Z, b = Z' V^-1 y, c = y' V^-1 y, summed over the trees of a lot; a level with
covariance Q passes A (I + Q A)^-1, (I + A Q)^-1 b, c - b' Q (I + A Q)^-1 b and ln|I + Q A| upwards. The sum
at the top is the exact marginal likelihood; no step is an approximation. Source: Lindley & Smith 1972,
J. R. Stat. Soc. B 34:1-41; Pinheiro & Bates 2000, Mixed-Effects Models in S and S-PLUS, chapter 2.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .ragged import Bools, Floats, Ints, floats, ints, ragged

#: R of one pack of trees from the entries' numbers (k, w) and which of them are there (k, w): (k, w, w).
Noise = Callable[[Ints, Bools], Floats]


@dataclass(frozen=True)
class Pack:
    """Trees with about as many readings, side by side.

    Attributes
    ----------
    tree : (k,) index of each. entry : (k, w) their readings in time order, 0 where there is none.
    there : (k, w) whether there is one.
    """

    tree: Ints
    entry: Ints
    there: Bools


def packs(owner: Ints, time: Floats, n: int) -> list[Pack]:
    """Trees that have readings, by the number of them rounded up to a power of two."""
    order = ragged(owner, time, n)
    width = np.zeros(n, dtype=np.intp)
    some = order.count > 0
    width[some] = 1 << np.ceil(np.log2(order.count[some])).astype(np.intp)
    place = np.full(n, -1, dtype=np.intp)
    out = []
    for wide in np.unique(width[some]):
        tree = np.flatnonzero(width == wide)
        place[tree] = np.arange(tree.size)
        mine = width[order.owner] == wide
        entry = np.zeros((tree.size, int(wide)), dtype=np.intp)
        there = np.zeros(entry.shape, dtype=bool)
        at = (place[order.owner[mine]], order.rank[mine])
        entry[at], there[at] = order.order[mine], True
        out.append(Pack(tree, entry, there))
    return out


@dataclass(frozen=True)
class Says:
    """What is said of theta, one row a thing: A (n, p, p), b (n, p), c (n,), and -2 ln of the rest (n,)."""

    a: Floats
    b: Floats
    c: Floats
    rest: Floats

    def by(self, group: Ints, n: int) -> "Says":
        """Summed over the things of each of n groups."""

        def total(values: Floats) -> Floats:
            out = np.zeros((n, *values.shape[1:]))
            np.add.at(out, group, values)
            return out

        return Says(total(self.a), total(self.b), total(self.c), total(self.rest))

    def through(self, q: Floats) -> "Says":
        """As said of the level above, when theta ~ N(above, q)."""
        eye = np.eye(q.shape[-1])
        up = floats(np.linalg.inv(eye + self.a @ q))
        b = mul(up, self.b)
        c = self.c - np.einsum("np,pq,nq->n", self.b, q, b)
        return Says(up @ self.a, b, c, self.rest + np.linalg.slogdet(eye + self.a @ q)[1])

    def posterior(self, q: Floats) -> tuple[Floats, Floats, Floats]:
        """Given the level above: theta ~ N(mean + gain above, cov); mean (n, p), gain and cov (n, p, p)."""
        cov = q @ np.linalg.inv(np.eye(q.shape[-1]) + self.a @ q)
        cov = 0.5 * (cov + cov.swapaxes(-1, -2))
        return mul(cov, self.b), np.eye(q.shape[-1]) - cov @ self.a, cov

    def minus_two_log(self) -> float:
        """-2 ln of the marginal likelihood, at the top level with theta 0."""
        return float(self.c.sum() + self.rest.sum())


def mul(matrix: Floats, vector: Floats) -> Floats:
    """(n, p, q) times (n, q): (n, p)."""
    return np.asarray(np.einsum("npq,nq->np", matrix, vector))


@dataclass(frozen=True)
class Read:
    """A pack's readings, ready to be asked. z (k, w, p); y (k, w); V and its inverse (k, w, w)."""

    pack: Pack
    z: Floats
    y: Floats
    v: Floats
    inverse: Floats


def read(pack: Pack, z: Floats, y: Floats, noise: Noise, spread: Floats) -> Read:
    """Put a pack's V together.

    Parameters
    ----------
    z, y : (m, p) and (m,), of all readings. noise : gives R.
    spread : T, (p, p), or one for each tree of the pack, (k, p, p).
    """
    there = pack.there
    zs = np.where(there[:, :, None], z[pack.entry], 0.0)
    v = noise(pack.entry, there) + zs @ spread @ zs.swapaxes(1, 2)
    gap = np.arange(there.shape[1])
    v = np.where(there[:, :, None] & there[:, None, :], v, 0.0)
    v[:, gap, gap] += ~there
    return Read(pack, zs, np.where(there, y[pack.entry], 0.0), v, floats(np.linalg.inv(v)))


def said(reads: list[Read], n: int, p: int) -> Says:
    """What the readings of n trees say of their lots' theta."""
    out = Says(np.zeros((n, p, p)), np.zeros((n, p)), np.zeros(n), np.zeros(n))
    for pack in reads:
        tree, scaled = pack.pack.tree, pack.inverse @ pack.z
        out.a[tree] = pack.z.swapaxes(1, 2) @ scaled
        out.b[tree] = np.einsum("kwp,kw->kp", scaled, pack.y)
        out.c[tree] = np.einsum("kw,kwv,kv->k", pack.y, pack.inverse, pack.y)
        out.rest[tree] = np.linalg.slogdet(pack.v)[1] + np.log(2 * np.pi) * pack.pack.there.sum(axis=1)
    return out


@dataclass(frozen=True)
class Groups:
    """Who belongs to whom: lot (n,) of each tree, species (lots,) of each lot."""

    lot: Ints
    species: Ints

    @staticmethod
    def of(lot: Ints, species: Ints) -> "Groups":
        """Trees without a lot (-1) get one each.

        Parameters
        ----------
        lot : (n,) lot of each tree or -1. species : (n,) species of each tree.
        """
        known = int(lot.max(initial=-1)) + 1
        loose = np.flatnonzero(lot < 0)
        full = ints(lot).copy()
        full[loose] = known + np.arange(loose.size)
        # A lot that no tree names keeps species 0 and says nothing.
        theirs = np.zeros(known + loose.size, dtype=np.intp)
        theirs[full] = species
        return Groups(full, theirs)
