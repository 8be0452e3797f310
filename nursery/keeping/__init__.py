"""Keeping: backups, restoring them, and files that phones hand over."""

from . import handover
from .daily import OLD, age_words, daily, folder, keep_up, kept, last_good, last_trouble
from .errors import BadBackup, BadHandOver, CannotBackUp, CannotRestore
from .photos import settle
from .restoring import restore
from .writing import back_up

__all__ = [
    "OLD",
    "BadBackup",
    "BadHandOver",
    "CannotBackUp",
    "CannotRestore",
    "age_words",
    "back_up",
    "daily",
    "folder",
    "handover",
    "keep_up",
    "kept",
    "last_good",
    "last_trouble",
    "restore",
    "settle",
]
