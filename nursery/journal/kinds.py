"""The closed table of kinds: what each record's body holds, what it needs, and what it makes."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple
from uuid import UUID

from nursery.models import Buds, Leaving, Phase, Scars, Soil, Style, WirePart, WireState, Work
from nursery.science.practice import SETTINGS
from nursery.sentences import N_, Sentence, sentence

from . import fields as f
from .fields import Field, opt

#: Kinds of things that records make and need. Each has the reason for "it is not there".
UNKNOWN = {
    "tree": "unknown_tree",
    "bench": "unknown_bench",
    "lot": "unknown_lot",
    "site": "unknown_site",
    "wiring": "unknown_wiring",
    "run": "unknown_run",
}


class Fault(NamedTuple):
    """Why a record is set aside: reason, field, message, mend. The last two are said where they are read."""

    reason: str
    field: str
    message: Sentence
    mend: Sentence


@dataclass(frozen=True)
class Kind:
    """One kind of record.

    ``ref`` is the body's entry that names the thing needed besides the tree ("run": the record's own run),
    ``makes`` the thing made ("" none), ``made`` where its id is: a body entry, "tree", "run" or "id".
    ``owner``: only the owner makes such records.
    ``level``: a record needs only things that kinds of lower levels make, so judging goes level by level.
    """

    name: str
    body: tuple[Field, ...]
    tree: bool = True
    run: bool = False
    ref: str = ""
    ref_thing: str = ""
    makes: str = ""
    made: str = ""
    owner: bool = False
    level: int = 2


_BULK = opt("bulk", f.flag)
_MM = f.number(0.1, 1000, N_("mm"))
_DEFECTS = ("crossing", "one_sided", "high", "girdling", "rot")
_WIRE_STATES = f.word(
    WireState.values,
    mend=sentence(
        "Use loose, snug, marking, biting or sunk_in; when no wire is on, record that the wire is off."
    ),
)
_YEAR = f.whole(1800, 2200)

_ALL = (
    Kind(
        "site_set",
        (
            Field("site", f.ident),
            Field("name", f.text(80)),
            opt("time_zone", f.zone),
            opt("latitude", f.number(-90, 90, N_("degrees north"))),
            opt("longitude", f.number(-180, 180, N_("degrees east"))),
        ),
        tree=False,
        makes="site",
        made="site",
        level=0,
    ),
    Kind(
        "bench_set",
        (
            Field("bench", f.ident),
            Field("site", f.ident),
            Field("name", f.text(60)),
            Field("rows", f.whole(1, 200)),
            Field("places", f.whole(1, 200)),
            opt("walk_order", f.whole(-1_000_000, 1_000_000)),
        ),
        tree=False,
        ref="site",
        ref_thing="site",
        makes="bench",
        made="bench",
        level=1,
    ),
    Kind(
        "lot_set",
        (
            Field("lot", f.ident),
            Field("code", f.text(30)),
            Field("species", f.text(40)),
            opt("source", f.text(120, empty=True)),
            opt("year", _YEAR),
        ),
        tree=False,
        makes="lot",
        made="lot",
        level=0,
    ),
    Kind(
        "sowing",
        (
            Field("lot", f.ident),
            Field("on", f.day),
            Field("seeds", f.whole(1, 10_000_000)),
            opt("floaters", f.whole(0, 10_000_000)),
            opt("flat", f.text(40, empty=True)),
        ),
        tree=False,
        ref="lot",
        ref_thing="lot",
        level=1,
    ),
    Kind(
        "tree_new",
        (
            Field("tag", f.tag),
            Field("species", f.text(40)),
            opt("lot", f.ident),
            opt("sown_year", _YEAR),
            opt("phase", f.word(Phase.values)),
        ),
        ref="lot",
        ref_thing="lot",
        makes="tree",
        made="tree",
        level=1,
    ),
    Kind(
        "practice_set",
        (Field("name", f.word(SETTINGS)), Field("value", f.whatever, null=True)),
        tree=False,
        owner=True,
        level=0,
    ),
    Kind("tree_tag", (Field("tag", f.tag),)),
    Kind(
        "target_set",
        (
            opt("height_mm", f.number(10, 10_000, N_("mm"))),
            opt("base_mm", f.number(1, 2000, N_("mm"))),
            opt("style", f.word(Style.values)),
        ),
    ),
    Kind(
        "tree_move",
        (
            Field("bench", f.ident, null=True),
            opt("row", f.whole(1, 200)),
            opt("place", f.whole(1, 200)),
        ),
        ref="bench",
        ref_thing="bench",
    ),
    Kind("phase_change", (Field("to", f.word(Phase.values)), opt("why", f.text(200, empty=True)))),
    Kind("tree_left", (Field("how", f.word(Leaving.values)), opt("why", f.text(200, empty=True)))),
    Kind(
        "walk_started",
        (Field("bench", f.ident),),
        tree=False,
        run=True,
        ref="bench",
        ref_thing="bench",
        makes="run",
        made="run",
    ),
    Kind("walk_ended", (), tree=False, run=True, ref="run", ref_thing="run", level=3),
    Kind(
        "wire_on",
        (Field("part", f.word(WirePart.values)), opt("wire_mm", f.number(0.1, 20, N_("mm")))),
        makes="wiring",
        made="id",
    ),
    Kind(
        "wire_look",
        (Field("state", _WIRE_STATES), opt("wiring", f.ident), _BULK),
        ref="wiring",
        ref_thing="wiring",
        level=3,
    ),
    Kind(
        "wire_off",
        (opt("wiring", f.ident), opt("scars", f.word(Scars.values))),
        ref="wiring",
        ref_thing="wiring",
        level=3,
    ),
    Kind("soil_check", (Field("state", f.word(Soil.values)), _BULK)),
    Kind("bud_check", (Field("state", f.word(Buds.values)), _BULK)),
    Kind("firm_check", (Field("firm", f.flag), _BULK)),
    Kind(
        "caliper",
        (
            Field("mm", _MM),
            opt("height_mm", f.number(0, 10_000, N_("mm"))),
            opt("method", f.word(("photo",))),
            opt("photo", f.ident),
            opt("sd_mm", f.number(0.001, 1000, N_("mm"))),
        ),
    ),
    Kind(
        "photo",
        (
            Field("photo", f.ident),
            Field("sha256", f.sha256),
            Field("bytes", f.whole(1, 100_000_000)),
            Field("width", f.whole(1, 100_000)),
            Field("height", f.whole(1, 100_000)),
            opt("caption", f.text(200, empty=True)),
        ),
    ),
    Kind("root_survey", (Field("roots", f.roots), opt("defects", f.words(_DEFECTS)))),
    Kind(
        "branch_survey",
        (
            Field("primaries", f.whole(0, 500)),
            Field("secondaries", f.whole(0, 5000)),
            opt("internode_mm", f.number(0, 1000, N_("mm"))),
            opt("order", f.whole(1, 20)),
        ),
    ),
    Kind("note", (Field("text", f.text(2000)),)),
    Kind("work_done", (Field("task", f.word(Work.values)), opt("detail", f.text(200, empty=True)))),
)

KINDS: Mapping[str, Kind] = {kind.name: kind for kind in _ALL}
CORRECTION = "correction"
#: Kinds whose latest record decides the state of a tree.
TREE_STATE = ("tree_new", "tree_tag", "target_set", "tree_move", "phase_change", "tree_left")
WIRES = ("wire_on", "wire_look", "wire_off")
WALKS = ("walk_started", "walk_ended")


def bad_value(field: str, message: Sentence, mend: Sentence) -> Fault:
    return Fault("bad_value", field, message, mend)


def check_body(kind: Kind, body: object, *, at: str = "body") -> Fault | None:
    """Check a body against its kind, without looking at any other record.

    ``at`` is the path put before the field's name ("body.body" inside a correction).
    """
    if not isinstance(body, dict):
        mend = sentence("Send an object with the kind's fields.")
        return bad_value(at, sentence("the body is not an object"), mend)
    for name, check, required, null in kind.body:
        if name not in body:
            if required:
                missing = sentence("{field} is missing", field=name)
                return bad_value(f"{at}.{name}", missing, sentence("Give {field}.", field=name))
            continue
        value = body[name]
        if value is None and null:
            continue
        wrong = check(value)
        if wrong:
            return bad_value(f"{at}.{name}", wrong.message, wrong.mend)
    whole = _WHOLE.get(kind.name)
    return whole(body, at) if whole else None


_NO_PLACE = {
    "row": (sentence("a tree on a bench needs a row"), sentence("Give the row, from 1 up.")),
    "place": (sentence("a tree on a bench needs a place"), sentence("Give the place, from 1 up.")),
}


def _whole_place(body: dict[str, object], at: str) -> Fault | None:
    if body["bench"] is None:
        return None
    for name, wrong in _NO_PLACE.items():
        if body.get(name) is None:
            return bad_value(f"{at}.{name}", *wrong)
    return None


def _whole_sowing(body: dict[str, object], at: str) -> Fault | None:
    seeds, floaters = body["seeds"], body.get("floaters")
    if isinstance(floaters, int) and isinstance(seeds, int) and floaters > seeds:
        wrong = sentence("more seeds floated than were sown")
        return bad_value(f"{at}.floaters", wrong, sentence("Count the floaters again."))
    return None


def _whole_practice(body: dict[str, object], at: str) -> Fault | None:
    setting = SETTINGS[str(body["name"])]
    wrong = setting.wrong(body["value"])
    return bad_value(f"{at}.value", wrong, setting.mend) if wrong else None


_WHOLE = {"tree_move": _whole_place, "sowing": _whole_sowing, "practice_set": _whole_practice}


def check_header(kind: Kind, tree: UUID | None, run: UUID | None) -> Fault | None:
    """Check that a record names the tree and the run that its kind is about."""
    if kind.tree and tree is None:
        wrong = sentence("{kind} is about a tree, and names none", kind=kind.name)
        return bad_value("tree", wrong, sentence("Name the tree."))
    if kind.run and run is None:
        wrong = sentence("{kind} is about a walk, and names none", kind=kind.name)
        return bad_value("run", wrong, sentence("Name the walk's run."))
    return None


def ref_of(kind: Kind, run: UUID | None, body: Mapping[str, object]) -> UUID | None:
    """The id of the second thing that a record of this kind needs, if it names one."""
    if not kind.ref:
        return None
    return run if kind.ref == "run" else f.as_uuid(body.get(kind.ref))


def made_by(
    kind: Kind, id: UUID, tree: UUID | None, run: UUID | None, body: Mapping[str, object]
) -> UUID | None:
    """The id of the thing that a record of this kind makes or changes, if any."""
    if not kind.makes:
        return None
    own = {"id": id, "tree": tree, "run": run}
    return own[kind.made] if kind.made in own else f.as_uuid(body.get(kind.made))
