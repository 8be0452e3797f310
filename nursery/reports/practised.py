"""The settings of practice as a page shows them: what is in force, and where it comes from."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from nursery import practice
from nursery.models import Practice, Stale, Tree
from nursery.science.practice import DEFAULT, GROUPS, SETTINGS, Setting
from nursery.sentences import N_, PERCENT, number, said, say

#: What a learned number was learned from, by the group of its setting; others rest on root surveys.
LOOKS = {"buds": N_("{n} looks for buds"), "young": N_("{n} looks whether pots stand firm")}
LOOKS_OF = {"unseen_firm": LOOKS["young"], "level_share": N_("{n} surface roots")}


@dataclass(frozen=True)
class SettingRow:
    """One setting. ``own``: the grower's, changed ``at``; else ``learned`` says from what, "" if assumed."""

    setting: Setting
    #: What a person reads of the setting, in the reader's language.
    label: str
    meaning: str
    bare_unit: str
    range: str
    value: str
    own: bool
    at: datetime | None
    learned: str

    @property
    def unit(self) -> str:
        """What stands after the number: "%" as the language sets it, or the unit with its space."""
        return said(PERCENT, number="") if self.bare_unit == "%" else f" {self.bare_unit}".rstrip()

    @property
    def default(self) -> str:
        return number(self.setting.shown(DEFAULT.value(self.setting.name)))


@dataclass(frozen=True)
class Group:
    title: str
    rows: list[SettingRow]


def groups() -> list[Group]:
    """All settings. Two queries."""
    taught, rows = practice.taught(), {row.name: row for row in Practice.objects.all()}
    found = [_row(setting, rows.get(name), taught) for name, setting in SETTINGS.items()]
    return [
        Group(say(title), [row for row in found if row.setting.group == group])
        for group, title in GROUPS.items()
    ]


def _row(setting: Setting, row: Practice | None, taught: Mapping[str, tuple[float, int]]) -> SettingRow:
    name = setting.name
    at = row.at if row else None

    def made(value: float, own: bool, learned: str = "") -> SettingRow:
        words = (say(setting.label), say(setting.meaning), say(setting.unit), say(setting.range))
        return SettingRow(setting, *words, number(value), own, at, learned)

    if row is not None and row.value is not None and not setting.wrong(row.value):
        return made(setting.shown(row.value), True)
    if name in taught and not setting.wrong(taught[name][0]):
        value, looks = taught[name]
        what = LOOKS_OF.get(name) or LOOKS.get(setting.group) or N_("{n} root surveys")
        return made(float(f"{value * setting.scale:.3g}"), False, said(what, n=f"{looks:,}"))
    return made(setting.shown(setting.default), False)


def waiting() -> tuple[int, int]:
    """Standings that wait to be made anew, of how many trees. Two queries."""
    return Stale.objects.count(), Tree.objects.count()
