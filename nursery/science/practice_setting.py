"""One setting of practice: its meaning, unit, default and range, and what is wrong with a value for it."""

import math
from dataclasses import dataclass, field
from typing import Any


def N_(text: str) -> str:
    """Marks a text that is translated where it is shown: science itself knows no languages."""
    return text


#: Groups in the order in which they are shown.
GROUPS = {
    "ready": N_("When a tree is called ready"),
    "wire": N_("Wire"),
    "buds": N_("Low buds"),
    "young": N_("Young trees"),
    "roots": N_("Roots"),
    "trunk": N_("Trunk"),
    "branches": N_("Branches"),
    "due": N_("When to look again"),
    "unseen": N_("Before anybody looked"),
    "walk": N_("A walk's plan"),
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

    def shown(self, value: float) -> float:
        """The number as a grower reads and types it, without its unit."""
        return float(f"{value * self.scale:.6g}")

    @property
    def range(self) -> list[Any]:
        """The range allowed, a sentence of nursery.sentences."""
        found = {"low": self.shown(self.low), "high": self.shown(self.high)}
        if self.unit == "%":
            return [N_("{low} to {high:percent}"), found]
        if not self.unit:
            return [N_("{low} to {high}"), found]
        return [N_("{low} to {high} {unit:word}"), found | {"unit": self.unit}]

    def wrong(self, value: object) -> list[Any] | None:
        """Why a value will not do, as a sentence; None for one that does. None means back to the default."""
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            return [N_("{label:word}: {value} is not a number"), self._named(str(value)[:40])]
        if self.whole and value != int(value):
            return [N_("{label:word}: {value} is not a whole number"), self._named(float(f"{value:g}"))]
        if not self.low <= value <= self.high:
            named = self._named(self.shown(value))
            return [N_("{label:word}: {value} is outside {range:word}"), named | {"range": self.range}]
        return None

    def _named(self, value: str | float) -> dict[str, Any]:
        return {"label": self.label, "value": value}

    @property
    def mend(self) -> list[Any]:
        if self.whole:
            return [N_("Give a whole number from {range:word}."), {"range": self.range}]
        return [N_("Give a number from {range:word}."), {"range": self.range}]


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
