"""One setting of practice: its meaning, unit, default and range, and what is wrong with a value for it."""

import math
from dataclasses import dataclass, field
from typing import Any

#: Groups in the order in which they are shown.
GROUPS = {
    "ready": "When a tree is called ready",
    "wire": "Wire",
    "buds": "Low buds",
    "young": "Young trees",
    "roots": "Roots",
    "trunk": "Trunk",
    "branches": "Branches",
    "due": "When to look again",
    "unseen": "Before anybody looked",
    "walk": "A walk's plan",
}


@dataclass(frozen=True)
class Setting:
    """One setting.

    Attributes
    ----------
    low, high : allowed range, both ends allowed. unit : "" for a plain number; "%" is shown of a share.
    whole : only whole numbers.
    """

    group: str
    label: str
    meaning: str
    unit: str
    default: float
    low: float
    high: float
    whole: bool = False
    name: str = ""

    @property
    def scale(self) -> float:
        """What is shown over what is kept: a share of 0.01 is shown as 1%."""
        return 100.0 if self.unit == "%" else 1.0

    def shown(self, value: float) -> str:
        """The number as a grower reads and types it, without its unit."""
        return f"{value * self.scale:.6g}"

    @property
    def range(self) -> str:
        unit = self.unit if self.unit == "%" else f" {self.unit}".rstrip()
        return f"{self.shown(self.low)} to {self.shown(self.high)}{unit}"

    def wrong(self, value: object) -> str:
        """Why a value will not do; "" for one that does. None means back to the default."""
        if value is None:
            return ""
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            return f"{self.label}: {str(value)[:40]} is not a number"
        if self.whole and value != int(value):
            return f"{self.label}: {value:g} is not a whole number"
        if not self.low <= value <= self.high:
            return f"{self.label}: {self.shown(value)} is outside {self.range}"
        return ""

    @property
    def mend(self) -> str:
        return f"Give a {'whole ' if self.whole else ''}number from {self.range}."


class In:
    """Writes the settings of one group as fields of a dataclass."""

    def __init__(self, group: str) -> None:
        self.group = group

    def number(self, default: float, low: float, high: float, unit: str, label: str, meaning: str) -> Any:
        return self._field(Setting(self.group, label, meaning, unit, default, low, high))

    def share(self, default: float, low: float, high: float, label: str, meaning: str) -> Any:
        return self.number(default, low, high, "%", label, meaning)

    def whole(self, default: int, low: int, high: int, unit: str, label: str, meaning: str) -> Any:
        return self._field(Setting(self.group, label, meaning, unit, default, low, high, whole=True))

    def _field(self, setting: Setting) -> Any:
        return field(default=setting.default, metadata={"setting": setting})
