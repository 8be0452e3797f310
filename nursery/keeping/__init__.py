"""Keeping: backups, restoring them, and files that phones hand over."""

from . import handover
from .daily import daily, keep_up, last_good, last_trouble
from .errors import BadBackup, BadHandOver, CannotBackUp, CannotRestore
from .photos import settle
from .restoring import restore
from .writing import back_up

__all__ = [
    "BadBackup",
    "BadHandOver",
    "CannotBackUp",
    "CannotRestore",
    "back_up",
    "daily",
    "handover",
    "keep_up",
    "last_good",
    "last_trouble",
    "restore",
    "settle",
]
