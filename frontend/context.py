"""What every page knows: who is here, what they may do, and which page this is."""

from dataclasses import dataclass

from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from frontend.who import rights, role
from nursery.models import Role
from nursery.reports.aside import waiting


@dataclass(frozen=True)
class Door:
    """One word of the navigation."""

    word: str
    href: str
    here: bool
    count: int = 0


DOORS = [
    (_("Today"), "today"),
    (_("Ready"), "ready"),
    (_("Held back"), "held_back"),
    (_("Wires"), "wires"),
    (_("Benches"), "benches"),
    (_("Trees"), "trees"),
    (_("Set aside"), "set_aside"),
]


def house(request: HttpRequest) -> dict[str, object]:
    """Two queries: the role, and how many records are set aside. None for a stranger."""
    mine = role(request)
    if not mine:
        return {"role": "", "role_word": "", "doors": [], "may": {}}
    count = waiting()
    doors = []
    for word, name in DOORS:
        href = reverse(name)
        here = request.path == href if name == "today" else request.path.startswith(href)
        doors.append(Door(str(word), href, here, count if name == "set_aside" else 0))
    return {"role": mine, "role_word": Role(mine).label, "doors": doors, "may": rights(request)}
