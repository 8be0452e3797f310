"""Pictures of trees: taken in piece by piece, cleaned, kept under their hash, given out again."""

from .clean import Cleaned, clean
from .errors import BadPhoto, IdInUse, NoRoom, Restoring, TooMany
from .folder import replacing
from .keep import known, open_kept, take_whole
from .parts import CHUNK_MOST, MOST_BYTES, State, receive

__all__ = [
    "CHUNK_MOST",
    "MOST_BYTES",
    "BadPhoto",
    "Cleaned",
    "IdInUse",
    "NoRoom",
    "Restoring",
    "State",
    "TooMany",
    "clean",
    "known",
    "open_kept",
    "receive",
    "replacing",
    "take_whole",
]
