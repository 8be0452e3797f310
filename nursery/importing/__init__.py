"""Bringing a grower's own list in: all of it or nothing."""

from .bring_in import Brought, bring_in
from .table import Fault, ListRefused

__all__ = ["Brought", "Fault", "ListRefused", "bring_in"]
