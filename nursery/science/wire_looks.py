"""What looks at wires say about the time to biting, when some of them are misjudged.

====  ==============================================================================
B     growing time from wiring to biting, in bite times of the species [1]
u     growing time from wiring to a look, in the same [1]
e     edges between cells of B, shared by all wires, (K + 1,)
====  ==============================================================================

A wire is loose, then snug from a share of B on, marking from a larger share, biting from B. Shares differ
between wires (lognormal about the nursery's share). A look names the true state, or with the chance
``misjudged`` another, mostly the next to it. P(looks | B in a cell) is the product over a wire's looks;
biting and sunk in count as one here.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.sparse import csr_array
from scipy.special import ndtr

from .ragged import Bools, Floats, Ints, floats, ints, ragged

#: States as numbers.
LOOSE, SNUG, MARKING, BITING, SUNK_IN = 0, 1, 2, 3, 4
#: Cells of B: the first from 0, the last to infinity.
EDGES: Floats = np.concatenate(([0.0], np.geomspace(0.05, 8.0, 55), [np.inf]))
#: A time inside each cell.
MIDDLE: Floats = np.concatenate(([0.04], np.sqrt(EDGES[1:-2] * EDGES[2:-1]), [9.0]))
#: Of misjudged looks, the part that names a state next but one or further. No source.
FAR = 0.1
#: Looks at a wire that contradict each other are trusted only so far. No source.
CONTRADICTED = 0.3
#: A fall by so many states without a new wire is a contradiction: wire does not get slack by itself.
FALL = 2


@dataclass(frozen=True)
class Looks:
    """Looks at n wires, flat: ``owner`` (m,) the wire 0..n-1, ``u`` (m,) [1], ``state`` (m,) 0..4."""

    owner: Ints
    u: Floats
    state: Ints
    n: int

    @staticmethod
    def of(owner: ArrayLike, u: ArrayLike, state: ArrayLike, n: int) -> "Looks":
        return Looks(ints(owner), floats(u), ints(state), n)

    def some(self, most: int) -> tuple["Looks", Ints]:
        """The looks at no more than so many wires, spread evenly over all, and which wires those are."""
        if self.n <= most:
            return self, np.arange(self.n)
        rows = np.linspace(0, self.n - 1, most).astype(np.intp)
        return self.of_wires(rows), rows

    def of_wires(self, rows: Ints) -> "Looks":
        """The looks at some wires, each once, numbered in the order of ``rows``."""
        place = np.full(self.n, -1, dtype=np.intp)
        place[rows] = np.arange(rows.size)
        kept = place[self.owner] >= 0
        return Looks(place[self.owner[kept]], self.u[kept], self.state[kept], rows.size)

    def and_more(self, owner: Ints, u: Floats, state: Ints) -> "Looks":
        """These looks and later ones."""
        return Looks(
            np.concatenate([self.owner, owner]),
            np.concatenate([self.u, u]),
            np.concatenate([self.state, state]),
            self.n,
        )

    def contradict(self) -> Bools:
        """(n,) whether a later look saw a wire slacker by ``FALL`` states or more than an earlier one."""
        highest, out = np.full(self.n, -1, dtype=np.intp), np.zeros(self.n, dtype=bool)
        for wire, look in ragged(self.owner, self.u, self.n).steps():
            out[wire] |= highest[wire] - self.state[look] >= FALL
            highest[wire] = np.maximum(highest[wire], self.state[look])
        return out


@dataclass(frozen=True)
class Judging:
    """How looks relate to the truth, learned or from practice (no source).

    Attributes
    ----------
    snug, marking : shares of B from which a wire is snug, and marks.
    misjudged : P(a look names another state than the true one).
    spread : of the logarithm of the shares between wires.
    """

    snug: float = 0.4
    marking: float = 0.7
    misjudged: float = 0.05
    spread: float = 0.2


def confusion(misjudged: Floats) -> Floats:
    """P(seen s | true j), (..., 4, 4), for chances of any shape."""
    near = np.abs(np.subtract.outer(np.arange(4), np.arange(4)))
    share = np.where(near == 1, 1.0 - FAR, np.where(near > 1, FAR, 0.0))
    count_near, count_far = (near == 1).sum(axis=0), np.maximum((near > 1).sum(axis=0), 1)
    share = share / np.where(near == 1, count_near, np.where(near > 1, count_far, 1))
    off = np.asarray(misjudged)[..., None, None] * share
    return np.asarray(off + (1.0 - np.asarray(misjudged)[..., None, None]) * np.eye(4))


def state_given_cell(u: Floats, judging: Judging) -> Floats:
    """P(true state at u | B in cell), (m, K, 4), states loose, snug, marking, biting or worse."""
    with np.errstate(divide="ignore"):
        log_u = np.log(np.maximum(u, 1e-9))[:, None]
        low, high = np.log(np.maximum(EDGES[:-1], 0.02)), np.log(np.minimum(EDGES[1:], 16.0))
    bitten = np.clip((log_u - low) / (high - low), 0.0, 1.0)
    x = log_u - np.log(MIDDLE)
    marks = np.maximum(ndtr((x - np.log(judging.marking)) / judging.spread), bitten)
    snug = np.maximum(ndtr((x - np.log(judging.snug)) / judging.spread), marks)
    return np.stack([1.0 - snug, snug - marks, marks - bitten, bitten], axis=-1)


def log_likelihood(looks: Looks, judging: Judging, contradict: Bools) -> Floats:
    """ln P(a wire's looks | B in cell), (n, K); 0 without looks."""
    chance = np.where(contradict[looks.owner], max(CONTRADICTED, judging.misjudged), judging.misjudged)
    seen = np.minimum(looks.state, BITING)
    named = confusion(chance)[np.arange(seen.size), seen]
    p = (state_given_cell(looks.u, judging) @ named[:, :, None])[:, :, 0]
    each = np.arange(seen.size)
    by_wire = csr_array((np.ones(seen.size), (looks.owner, each)), shape=(looks.n, seen.size))
    return np.asarray(by_wire @ np.log(np.maximum(p, 1e-12)))


def likelihood(looks: Looks, judging: Judging, contradict: Bools | None = None) -> tuple[Floats, Floats]:
    """P(a wire's looks | B in cell) over that of its best cell, (n, K), and the logarithm of that, (n,)."""
    flagged = looks.contradict() if contradict is None else contradict
    total = log_likelihood(looks, judging, flagged)
    top = total.max(axis=1)
    return np.exp(total - top[:, None]), top
