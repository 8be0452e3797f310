"""Order of branching by Strahler, and a branch typed with brackets.

A branch without side branches has order 1; else the largest order of its side branches, one more where that
largest order occurs at least twice. Source: Strahler 1957, Trans. AGU 38:913-920.
"""

from collections.abc import Sequence
from dataclasses import dataclass

#: Brackets that are read at most, and how deep.
MOST, DEEPEST = 2000, 60


@dataclass(frozen=True)
class Branching:
    """``order`` of the whole. ``streams``: unbroken runs of order 1, 2, ... (the last is 1)."""

    order: int
    streams: tuple[int, ...]

    @property
    def ratios(self) -> tuple[float, ...]:
        """Streams of each order over those of the next."""
        return tuple(a / b for a, b in zip(self.streams, self.streams[1:], strict=False))


def branching(parent: Sequence[int]) -> Branching:
    """Orders of a tree of n nodes.

    Parameters
    ----------
    parent : n; the node from which each grows, always one before it; -1 for the first.

    Raises
    ------
    ValueError
        where a node grows from a later one, or the first from any.
    """
    if not parent or parent[0] != -1 or any(not 0 <= up < at for at, up in enumerate(parent) if at):
        raise ValueError("a branch must grow from one before it, and the first from none")
    top, times = [0] * len(parent), [0] * len(parent)
    order = [1] * len(parent)
    for at in range(len(parent) - 1, -1, -1):
        order[at] = max(1, top[at] + (times[at] > 1))
        up = parent[at]
        if up >= 0:
            times[up] = 1 if order[at] > top[up] else times[up] + (order[at] == top[up])
            top[up] = max(top[up], order[at])
    streams = [0] * order[0]
    for at, up in enumerate(parent):
        streams[order[at] - 1] += up < 0 or order[up] != order[at]
    return Branching(order[0], tuple(streams))


def read(typed: str) -> list[int]:
    """Parents of a shape typed with brackets, one pair a branch, its side branches inside: ``(()(()()))``.

    Raises
    ------
    ValueError
        in words for the grower, where brackets do not match or there is anything else.
    """
    parent: list[int] = []
    open_now: list[int] = []
    for sign in "".join(typed.split()):
        if sign == "(":
            if parent and not open_now:
                raise ValueError("one pair of brackets must hold all others")
            parent.append(open_now[-1] if open_now else -1)
            open_now.append(len(parent) - 1)
        elif sign == ")" and open_now:
            open_now.pop()
        else:
            raise ValueError("only brackets, and none closed before it is opened")
        if len(parent) > MOST or len(open_now) > DEEPEST:
            raise ValueError(f"at most {MOST} branches, {DEEPEST} deep")
    if not parent or open_now:
        raise ValueError("each bracket that is opened must be closed")
    return parent
