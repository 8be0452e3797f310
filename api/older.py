"""What apps of older versions are told: they show each reason as it comes, so it comes as English text."""

from typing import Any

from django.utils.translation import override

from nursery.feed import Data
from nursery.sentences import say

#: From this way of speaking on (``X-Misho``) an app says sentences itself, in the grower's own language.
SENTENCES = 2
#: Where rows of the feed hold sentences.
_NAMES = frozenset({"why", "message", "mend"})


def older(data: Data | None) -> Data | None:
    """A row of the feed with each sentence said in English."""
    if data is None:
        return None
    with override("en"):
        told: Data = _told(data)
        return told


def _told(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: say(one) if name in _NAMES else _told(one) for name, one in value.items()}
    if isinstance(value, list):
        return [_told(one) for one in value]
    return value
