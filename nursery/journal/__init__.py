"""The journal: taking records in, judging them, and making typed rows of them. The only way in."""

from .compose import compose, new_id
from .intake import Result, settle_pending, take_in
from .owners import owners_only
from .rebuild import fingerprint, rebuild
from .stays import fill as fill_stays

__all__ = [
    "Result",
    "compose",
    "fill_stays",
    "fingerprint",
    "new_id",
    "owners_only",
    "rebuild",
    "settle_pending",
    "take_in",
]
