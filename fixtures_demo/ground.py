"""The nursery as it stands: which tree is where, and what has been written of it."""

from datetime import date, datetime

import numpy as np

from .pen import Pen, Record
from .plan import HOME, Seedling
from .truth import Truth


class Ground:
    """Trees on benches, and their records so far; all arrays have shape (trees,)."""

    def __init__(
        self,
        pen: Pen,
        rng: np.random.Generator,
        truth: Truth,
        plants: list[Seedling],
        benches: list[str],
        size: tuple[int, int],
        by_tree: list[list[Record]],
    ) -> None:
        self.pen, self.rng, self.truth, self.plants = pen, rng, truth, plants
        self.benches, self.by_tree = benches, by_tree
        self.here = np.zeros(len(plants), dtype=np.bool_)
        #: The walk under way; each record is of it.
        self.run: str | None = None
        self._on_bench: list[list[int]] = [[] for _ in benches]
        self._free = [[(r, p) for r in range(size[0], 0, -1) for p in range(size[1], 0, -1)] for _ in benches]
        self._where: dict[int, tuple[int, tuple[int, int]]] = {}
        self._looked: dict[tuple[int, str], date] = {}

    def write(self, i: int, kind: str, when: datetime, body: Record) -> Record:
        record = self.pen.write(kind, when, body, tree=self.plants[i].id, run=self.run)
        self.by_tree[i].append(record)
        return record

    def set_target(self, i: int, when: datetime) -> None:
        plant = self.plants[i]
        if self.rng.random() < 0.96:
            body: Record = {"height_mm": plant.height_mm, "base_mm": round(plant.height_mm / 6, 1)}
            self.write(i, "target_set", when, body | {"style": plant.style})

    def place(self, i: int, when: datetime) -> None:
        """Move a tree to a bench of its phase where one has room, else to the one with the most room."""
        home = [b for b in HOME[int(self.truth.phase[i])] if b < len(self.benches) and self._free[b]]
        if i in self._where and (not home or self._where[i][0] in home):
            return
        bench = home[0] if home else max(range(len(self.benches)), key=lambda b: len(self._free[b]))
        if not self._free[bench]:
            return
        self.lift(i)
        spot = self._free[bench].pop()
        self._where[i] = (bench, spot)
        self._on_bench[bench].append(i)
        body: Record = {"bench": self.benches[bench], "row": spot[0], "place": spot[1]}
        self.write(i, "tree_move", when, body)

    def lift(self, i: int) -> None:
        if i in self._where:
            bench, spot = self._where.pop(i)
            self._on_bench[bench].remove(i)
            self._free[bench].append(spot)

    def leave(self, i: int, how: str, why: str, when: datetime) -> None:
        self.write(i, "tree_left", when, {"how": how, "why": why})
        self.here[i] = False
        self.lift(i)

    def in_walking_order(self, bench: int) -> list[int]:
        """The trees of a bench as its serpentine has them."""
        return sorted(self._on_bench[bench], key=self._step)

    def _step(self, i: int) -> tuple[int, int]:
        row, place = self._where[i][1]
        return row, place if row % 2 else -place

    def due(self, i: int, what: str, day: date, days: int) -> bool:
        """Whether a look of this kind is due again after so many days; notes it as done when it is."""
        last = self._looked.get((i, what))
        if last is not None and (day - last).days < days:
            return False
        self._looked[i, what] = day
        return True
