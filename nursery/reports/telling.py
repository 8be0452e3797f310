"""Records told in a grower's words."""

from collections.abc import Callable, Mapping
from typing import Any

from nursery.models import Buds, Leaving, Phase, Scars, Soil, Style, WirePart, WireState, Work

Body = Mapping[str, Any]
#: Names of benches, lots, sites and devices by their id as text.
Names = Mapping[str, str]

KINDS: dict[str, str] = {
    "site_set": "Site",
    "bench_set": "Bench",
    "lot_set": "Seed lot",
    "sowing": "Sown",
    "tree_new": "New tree",
    "tree_tag": "Tag",
    "target_set": "Target",
    "tree_move": "Moved",
    "phase_change": "Phase",
    "tree_left": "Left",
    "walk_started": "Walk begun",
    "walk_ended": "Walk ended",
    "wire_on": "Wire on",
    "wire_look": "Wire",
    "wire_off": "Wire off",
    "soil_check": "Soil",
    "bud_check": "Low buds",
    "firm_check": "Firm",
    "caliper": "Caliper",
    "root_survey": "Roots",
    "branch_survey": "Branches",
    "note": "Note",
    "practice_set": "Practice",
    "work_done": "Work",
    "photo": "Photo",
    "correction": "Correction",
}


def kind_word(kind: str) -> str:
    return KINDS.get(kind, f"A kind unknown here: {kind[:40]}")


def number(value: object) -> str:
    """A number without needless noughts; anything else as it is, cut short."""
    if isinstance(value, float):
        return f"{value:g}"
    return str(value)[:80]


def _label(choices: Any, value: object) -> str:
    """The word for a choice, or the value itself where it is none of them."""
    try:
        return str(choices(value).label)
    except ValueError:
        return str(value)[:80]


def _name(names: Names, value: object, unknown: str) -> str:
    return names.get(str(value), f"{unknown} ({str(value)[:8]})")


def _target(b: Body, _: Names) -> str:
    parts = []
    if b.get("height_mm") is not None:
        parts.append(f"{number(b['height_mm'])} mm tall")
    if b.get("base_mm") is not None:
        parts.append(f"base {number(b['base_mm'])} mm")
    if b.get("style"):
        parts.append(_label(Style, b["style"]))
    return ", ".join(parts) or "no target"


def _move(b: Body, names: Names) -> str:
    if not b.get("bench"):
        return "off the benches"
    place = f", row {b['row']}, place {b['place']}" if b.get("row") and b.get("place") else ""
    return _name(names, b["bench"], "a bench not known here") + place


def _tree_new(b: Body, _: Names) -> str:
    sown = f", sown {b['sown_year']}" if b.get("sown_year") else ""
    phase = f", {_label(Phase, b['phase'])}" if b.get("phase") else ""
    return f"{b.get('tag', '')}, {str(b.get('species', '')).replace('-', ' ')}{sown}{phase}"


def _why(text: str, b: Body, key: str = "why") -> str:
    return f"{text}: {b[key]}" if b.get(key) else text


def _wire_on(b: Body, _: Names) -> str:
    mm = f", {number(b['wire_mm'])} mm wire" if b.get("wire_mm") else ""
    return _label(WirePart, b.get("part")) + mm


def _wire_off(b: Body, _: Names) -> str:
    scars = f", scars: {_label(Scars, b['scars'])}" if b.get("scars") else ""
    return ("one wire off" if b.get("wiring") else "all wire off") + scars


def _caliper(b: Body, _: Names) -> str:
    height = b.get("height_mm")
    where = f"{number(height)} mm up" if height is not None else "just above the roots"
    how = ", from a photo" if b.get("method") == "photo" else ""
    how += f", give or take {number(b['sd_mm'])} mm" if b.get("sd_mm") is not None else ""
    return f"{number(b.get('mm'))} mm, {where}{how}"


def _roots(b: Body, _: Names) -> str:
    roots = b.get("roots")
    n = len(roots) if isinstance(roots, list) else 0
    defects = b.get("defects")
    told = ", ".join(str(d).replace("_", " ") for d in defects) if isinstance(defects, list) else ""
    return f"{n} root{'' if n == 1 else 's'}" + (f"; {told}" if told else "; no defect")


def _branches(b: Body, _: Names) -> str:
    more = f", internode {number(b['internode_mm'])} mm" if b.get("internode_mm") is not None else ""
    more += f", order {b['order']}" if b.get("order") is not None else ""
    return f"{b.get('primaries')} primary, {b.get('secondaries')} secondary{more}"


def _sowing(b: Body, names: Names) -> str:
    floaters = f", {b['floaters']} floated" if b.get("floaters") is not None else ""
    return f"{b.get('seeds')} seeds of {_name(names, b.get('lot'), 'a lot not known here')}{floaters}"


_TELL: dict[str, Callable[[Body, Names], str]] = {
    "site_set": lambda b, _: str(b.get("name", "")),
    "bench_set": lambda b, _: f"{b.get('name')}, {b.get('rows')} rows of {b.get('places')}",
    "lot_set": lambda b, _: f"{b.get('code')}, {str(b.get('species', '')).replace('-', ' ')}",
    "sowing": _sowing,
    "tree_new": _tree_new,
    "tree_tag": lambda b, _: f"now {b.get('tag')}",
    "target_set": _target,
    "tree_move": _move,
    "phase_change": lambda b, _: _why(f"now {_label(Phase, b.get('to'))}", b),
    "tree_left": lambda b, _: _why(_label(Leaving, b.get("how")), b),
    "walk_started": lambda b, n: _name(n, b.get("bench"), "a bench not known here"),
    "walk_ended": lambda b, _: "",
    "wire_on": _wire_on,
    "wire_look": lambda b, _: _label(WireState, b.get("state")),
    "wire_off": _wire_off,
    "soil_check": lambda b, _: _label(Soil, b.get("state")),
    "bud_check": lambda b, _: _label(Buds, b.get("state")),
    "firm_check": lambda b, _: "stands firm" if b.get("firm") else "loose in its pot",
    "caliper": _caliper,
    "root_survey": _roots,
    "branch_survey": _branches,
    "note": lambda b, _: str(b.get("text", "")),
    "photo": lambda b, _: str(b.get("caption") or "without words"),
    "work_done": lambda b, _: _why(_label(Work, b.get("task")), b, "detail"),
}


def tell(kind: str, body: object, names: Names) -> str:
    """What a record says. Never raises: a body may be anything that a phone once sent."""
    if not isinstance(body, Mapping):
        return ""
    if kind == "correction":
        if body.get("withdraw"):
            return "withdraws a record"
        return "corrects a record"
    teller = _TELL.get(kind)
    if teller is None:
        return ", ".join(f"{key} {number(value)}" for key, value in list(body.items())[:6])
    try:
        return teller(body, names)
    except (KeyError, TypeError, ValueError, AttributeError):
        return ", ".join(f"{key} {number(value)}" for key, value in list(body.items())[:6])


def ids_in(body: object) -> set[str]:
    """The ids of places and lots that a body names."""
    if not isinstance(body, Mapping):
        return set()
    return {str(body[key]) for key in ("bench", "lot", "site") if body.get(key)}
