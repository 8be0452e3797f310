"""The settings of practice as a page shows them: what is in force, and where it comes from."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from nursery import practice
from nursery.models import Practice, Stale, Tree
from nursery.science.practice import DEFAULT, GROUPS, SETTINGS, Setting
from nursery.sentences import N_, said

#: What a learned number was learned from, by the group of its setting; others rest on root surveys.
LOOKS = {"buds": N_("{n} looks for buds"), "young": N_("{n} looks whether pots stand firm")}
LOOKS_OF = {"unseen_firm": LOOKS["young"], "level_share": N_("{n} surface roots")}


@dataclass(frozen=True)
class SettingRow:
    """One setting. ``own``: the grower's, changed ``at``; else ``learned`` says from what, "" if assumed."""

    setting: Setting
    value: str
    own: bool
    at: datetime | None
    learned: str

    @property
    def unit(self) -> str:
        return self.setting.unit if self.setting.unit == "%" else f" {self.setting.unit}".rstrip()

    @property
    def default(self) -> str:
        return self.setting.shown(DEFAULT.value(self.setting.name))


@dataclass(frozen=True)
class Group:
    title: str
    rows: list[SettingRow]


def groups() -> list[Group]:
    """All settings. Two queries."""
    taught, rows = practice.taught(), {row.name: row for row in Practice.objects.all()}
    found = [_row(setting, rows.get(name), taught) for name, setting in SETTINGS.items()]
    return [
        Group(title, [row for row in found if row.setting.group == group]) for group, title in GROUPS.items()
    ]


def _row(setting: Setting, row: Practice | None, taught: Mapping[str, tuple[float, int]]) -> SettingRow:
    name = setting.name
    at = row.at if row else None
    if row is not None and row.value is not None and not setting.wrong(row.value):
        return SettingRow(setting, setting.shown(row.value), True, at, "")
    if name in taught and not setting.wrong(taught[name][0]):
        value, looks = taught[name]
        many = f"{looks:,}"
        what = LOOKS_OF.get(name) or LOOKS.get(setting.group) or N_("{n} root surveys")
        return SettingRow(setting, f"{value * setting.scale:.3g}", False, at, said(what, n=many))
    return SettingRow(setting, setting.shown(setting.default), False, at, "")


def waiting() -> tuple[int, int]:
    """Standings that wait to be made anew, of how many trees. Two queries."""
    return Stale.objects.count(), Tree.objects.count()
