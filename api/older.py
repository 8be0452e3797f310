"""What apps of older versions are told: what they show as it comes, comes as English text."""

from typing import Any

from django.utils.translation import override

from nursery.feed import Data
from nursery.journal import Result
from nursery.sentences import english, say

#: From this way of speaking on (``X-Misho``) an app says reasons itself, in the grower's own language.
REASONS = 2
#: From this one on also why a record was set aside.
SET_ASIDE = 3
#: Where rows of the feed hold sentences.
_NAMES = frozenset({"why", "message", "mend"})


def row(topic: str, data: Data | None, way: int) -> Data | None:
    """A row of the feed for an app that speaks this way: sentences that it cannot say are said in English."""
    if data is None or way >= (SET_ASIDE if topic == "fate" else REASONS):
        return data
    with override("en"):
        told: Data = _told(data)
        return told


def result(one: Result, way: int) -> Result:
    """The same for what became of a record that was pushed."""
    if way >= SET_ASIDE:
        return one
    return one._replace(message=english(one.message), mend=english(one.mend))


def _told(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: say(one) if name in _NAMES else _told(one) for name, one in value.items()}
    if isinstance(value, list):
        return [_told(one) for one in value]
    return value
