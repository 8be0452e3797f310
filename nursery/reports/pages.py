"""A long list, cut into pages."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Generic, TypeVar

from django.db.models import Model, QuerySet

#: Rows on a page: about what a person can run an eye over, and a bounded answer for any nursery.
SIZE = 100

T = TypeVar("T")
M = TypeVar("M", bound=Model)


@dataclass(frozen=True)
class Page(Generic[T]):
    """Rows ``first`` to ``last`` (counted from 1) of ``total``."""

    rows: list[T]
    total: int
    number: int
    size: int = SIZE

    @property
    def pages(self) -> int:
        return max(1, -(-self.total // self.size))

    @property
    def first(self) -> int:
        return (self.number - 1) * self.size + 1 if self.rows else 0

    @property
    def last(self) -> int:
        return self.first + len(self.rows) - 1 if self.rows else 0

    @property
    def before(self) -> int:
        """The page before, 0 for none."""
        return self.number - 1

    @property
    def after(self) -> int:
        """The page after, 0 for none."""
        return self.number + 1 if self.number < self.pages else 0


def cut(
    query: "QuerySet[M]",
    number: int,
    make: Callable[[Iterable[M]], list[T]],
    *,
    size: int = SIZE,
) -> Page[T]:
    """One page of a query, made into rows: two queries, and those that ``make`` needs for the whole page.

    A number past the end gives the last page, so that a kept address stays good when the list gets shorter.
    """
    total = query.count()
    last = max(1, -(-total // size))
    number = min(max(1, number), last)
    start = (number - 1) * size
    return Page(make(query[start : start + size]), total, number, size)
