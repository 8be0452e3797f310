"""Records told in a grower's words."""

from collections.abc import Callable, Mapping
from typing import Any

from nursery.models import Buds, Leaving, Phase, Scars, Soil, Style, WirePart, WireState, Work
from nursery.models.species import called
from nursery.sentences import N_, later, said

Body = Mapping[str, Any]
#: Names of benches, lots, sites and devices by their id as text.
Names = Mapping[str, str]

KINDS: dict[str, str] = {
    "site_set": later("Site"),
    "bench_set": later("Bench"),
    "lot_set": later("Seed lot"),
    "sowing": later("Sown"),
    "tree_new": later("New tree"),
    "tree_tag": later("Tag"),
    "target_set": later("Target"),
    "tree_move": later("Moved"),
    "phase_change": later("Phase"),
    "tree_left": later("Left"),
    "walk_started": later("Walk begun"),
    "walk_ended": later("Walk ended"),
    "wire_on": later("Wire on"),
    "wire_look": later("Wire"),
    "wire_off": later("Wire off"),
    "soil_check": later("Soil"),
    "bud_check": later("Low buds"),
    "firm_check": later("Firm"),
    "caliper": later("Caliper"),
    "root_survey": later("Roots"),
    "branch_survey": later("Branches"),
    "note": later("Note"),
    "practice_set": later("Practice"),
    "work_done": later("Work"),
    "photo": later("Photo"),
    "correction": later("Correction"),
}

NO_BENCH = N_("a bench not known here")
DEFECTS = {
    "crossing": N_("crossing"),
    "one_sided": N_("one sided"),
    "high": N_("high"),
    "girdling": N_("girdling"),
    "rot": N_("rot"),
}


def kind_word(kind: str) -> str:
    return str(KINDS[kind]) if kind in KINDS else said("A kind unknown here: {kind}", kind=kind[:40])


def number(value: object) -> str:
    """A number without needless noughts; anything else as it is, cut short."""
    if isinstance(value, float):
        return said("{x}", x=value)
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
        parts.append(said("{height} mm tall", height=number(b["height_mm"])))
    if b.get("base_mm") is not None:
        parts.append(said("base {base} mm", base=number(b["base_mm"])))
    if b.get("style"):
        parts.append(_label(Style, b["style"]))
    return ", ".join(parts) or said("no target")


def _move(b: Body, names: Names) -> str:
    if not b.get("bench"):
        return said("off the benches")
    bench = _name(names, b["bench"], said(NO_BENCH))
    if not (b.get("row") and b.get("place")):
        return bench
    return said("{bench}, row {row}, place {place}", bench=bench, row=b["row"], place=b["place"])


def _tree_new(b: Body, _: Names) -> str:
    parts = [str(b.get("tag", "")), called(str(b.get("species", "")))]
    if b.get("sown_year"):
        parts.append(said("sown {year}", year=str(b["sown_year"])))
    if b.get("phase"):
        parts.append(_label(Phase, b["phase"]))
    return ", ".join(parts)


def _why(text: str, b: Body, key: str = "why") -> str:
    return f"{text}: {b[key]}" if b.get(key) else text


def _wire_on(b: Body, _: Names) -> str:
    part = _label(WirePart, b.get("part"))
    return said("{part}, {mm} mm wire", part=part, mm=number(b["wire_mm"])) if b.get("wire_mm") else part


def _wire_off(b: Body, _: Names) -> str:
    off = said("one wire off") if b.get("wiring") else said("all wire off")
    return said("{off}, scars: {scars}", off=off, scars=_label(Scars, b["scars"])) if b.get("scars") else off


def _caliper(b: Body, _: Names) -> str:
    height = b.get("height_mm")
    up = said("just above the roots") if height is None else said("{height} mm up", height=number(height))
    parts = [said("{mm} mm", mm=number(b.get("mm"))), up]
    if b.get("method") == "photo":
        parts.append(said("from a photo"))
    if b.get("sd_mm") is not None:
        parts.append(said("give or take {sd} mm", sd=number(b["sd_mm"])))
    return ", ".join(parts)


def _roots(b: Body, _: Names) -> str:
    roots = b.get("roots")
    n = len(roots) if isinstance(roots, list) else 0
    defects = b.get("defects")
    told = [DEFECTS.get(d, str(d).replace("_", " ")) for d in defects] if isinstance(defects, list) else []
    if not told:
        return said("{n} {n:root|roots}; no defect", n=n)
    return said("{n} {n:root|roots}; {defects}", n=n, defects=", ".join(said(d) for d in told))


def _branches(b: Body, _: Names) -> str:
    first, second = b.get("primaries"), b.get("secondaries")
    parts = [said("{first} primary, {second} secondary", first=first, second=second)]
    if b.get("internode_mm") is not None:
        parts.append(said("internode {length} mm", length=number(b["internode_mm"])))
    if b.get("order") is not None:
        parts.append(said("order {order}", order=b["order"]))
    return ", ".join(parts)


def _bench(b: Body, _: Names) -> str:
    return said(
        "{name}, {rows} rows of {places}", name=b.get("name"), rows=b.get("rows"), places=b.get("places")
    )


def _sowing(b: Body, names: Names) -> str:
    lot = _name(names, b.get("lot"), said("a lot not known here"))
    sown = said("{seeds} seeds of {lot}", seeds=b.get("seeds"), lot=lot)
    if b.get("floaters") is None:
        return sown
    return said("{sown}, {floaters} floated", sown=sown, floaters=b["floaters"])


_TELL: dict[str, Callable[[Body, Names], str]] = {
    "site_set": lambda b, _: str(b.get("name", "")),
    "bench_set": _bench,
    "lot_set": lambda b, _: f"{b.get('code')}, {called(str(b.get('species', '')))}",
    "sowing": _sowing,
    "tree_new": _tree_new,
    "tree_tag": lambda b, _: said("now {what}", what=str(b.get("tag"))),
    "target_set": _target,
    "tree_move": _move,
    "phase_change": lambda b, _: _why(said("now {what}", what=_label(Phase, b.get("to"))), b),
    "tree_left": lambda b, _: _why(_label(Leaving, b.get("how")), b),
    "walk_started": lambda b, n: _name(n, b.get("bench"), said(NO_BENCH)),
    "walk_ended": lambda b, _: "",
    "wire_on": _wire_on,
    "wire_look": lambda b, _: _label(WireState, b.get("state")),
    "wire_off": _wire_off,
    "soil_check": lambda b, _: _label(Soil, b.get("state")),
    "bud_check": lambda b, _: _label(Buds, b.get("state")),
    "firm_check": lambda b, _: said("stands firm") if b.get("firm") else said("loose in its pot"),
    "caliper": _caliper,
    "root_survey": _roots,
    "branch_survey": _branches,
    "note": lambda b, _: str(b.get("text", "")),
    "photo": lambda b, _: str(b.get("caption") or said("without words")),
    "work_done": lambda b, _: _why(_label(Work, b.get("task")), b, "detail"),
}


def tell(kind: str, body: object, names: Names) -> str:
    """What a record says. Never raises: a body may be anything that a phone once sent."""
    if not isinstance(body, Mapping):
        return ""
    if kind == "correction":
        if body.get("withdraw"):
            return said("withdraws a record")
        return said("corrects a record")
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
