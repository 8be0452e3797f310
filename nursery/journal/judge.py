"""Judge records: a fate for each, as a function of the set of records stored, not of their order.

A record is judged by its body in force (the latest well-formed correction, else its own) and by whether the
things that it needs exist. A thing exists while some applied record makes it; then its typed row is there.
"""

from collections.abc import Sequence
from uuid import UUID

from django.db.models import Q

from nursery import bulk
from nursery.models import Fate, JournalRecord
from nursery.sentences import sentence

from .fields import as_uuid
from .kinds import CORRECTION, KINDS, UNKNOWN, Fault, bad_value, check_body, check_header
from .rec import Rec, load
from .world import World

LEVELS = 4
#: The newest form of records' bodies that this server knows.
VERSION = 1


def judge(batch: Sequence[Rec], *, woken: set[UUID] | None = None) -> list[Rec]:
    """Judge the records of a batch and all that their judgement changes.

    ``woken``, where given, takes the ids of stored records whose needs came or went by it: then they are not
    judged along, and the caller does it after. Returns every record judged, its new fate set, nothing saved.
    """
    judged: dict[UUID, Rec] = {rec.id: rec for rec in batch if rec.kind == CORRECTION}
    roots = {rec.id: rec for rec in batch if rec.kind != CORRECTION}
    _correct(judged, roots)
    world = World()
    levels: list[dict[UUID, Rec]] = [{} for _ in range(LEVELS)]
    for rec in roots.values():
        levels[rec.spec.level if rec.spec else 0][rec.id] = rec
    for level, todo in enumerate(levels):
        if not todo:
            continue
        world.look_up(todo.values())
        for rec in todo.values():
            _judge_root(rec, world)
        judged.update(todo)
        for rec in world.moved(todo.values()):
            if woken is not None:
                woken.add(rec.id)
            elif rec.id not in judged:
                assert rec.spec is not None
                assert rec.spec.level > level
                levels[rec.spec.level].setdefault(rec.id, rec)
    return list(judged.values())


def _correct(corrections: dict[UUID, Rec], roots: dict[UUID, Rec]) -> None:
    """Judge the corrections of the batch and of its roots, and put the bodies in force into the roots."""
    replaced = {rec.ref for rec in corrections.values() if rec.ref} - roots.keys()
    found = {rec.id: rec for rec in load(Q(id__in=replaced))} if replaced else {}
    known = {**found, **roots}
    # Also corrections of the batch's corrections: they waited for a record, and it is no first record.
    named = known.keys() | corrections.keys()
    # Most records are corrected by none: ask so first, without a query for rows.
    corrected = {id for (id,) in bulk.among(JournalRecord, named, key="ref")}
    if corrected:
        for rec in load(Q(ref__in=corrected, kind=CORRECTION)):
            corrections.setdefault(rec.id, rec)
    winners: dict[UUID, Rec] = {}
    for rec in corrections.values():
        root = known.get(rec.ref) or corrections.get(rec.ref) if rec.ref else None
        fault = _correction_fault(rec, root)
        rec.settle(Fate.SET_ASIDE if fault else Fate.APPLIED, fault)
        if fault is None and root is not None:
            best = winners.get(root.id)
            winners[root.id] = rec if best is None or rec.key > best.key else best
    for id, root in known.items():
        if root.kind == CORRECTION:
            continue
        _put_in_force(root, winners.get(id))
        roots[id] = root


def _put_in_force(root: Rec, winner: Rec | None) -> None:
    """Set the root's body in force. A withdrawn root gets its fate here and keeps its own body."""
    withdrawn = winner is not None and winner.body.get("withdraw") is True
    root.fixed = None if winner is None or withdrawn else winner.body["body"]
    root.settle(Fate.WITHDRAWN if withdrawn else Fate.PENDING)
    # A new record's own body has named them.
    if winner is not None or not root.new:
        root.name_things()


def _correction_fault(rec: Rec, root: Rec | None) -> Fault | None:
    body = rec.body
    if not isinstance(body, dict):
        mend = sentence("Send replaces, and withdraw or body.")
        return bad_value("body", sentence("the body is not an object"), mend)
    if as_uuid(body.get("replaces")) is None:
        wrong = sentence("it does not say which record it corrects")
        return bad_value("body.replaces", wrong, sentence("Name the record."))
    withdraw = body.get("withdraw")
    if withdraw not in (None, True, False) or not (withdraw or isinstance(body.get("body"), dict)):
        wrong = sentence("it brings no new body")
        return bad_value("body.body", wrong, sentence("Give withdraw: true, or the new body."))
    if root is None:
        return Fault(
            "unknown_record",
            "body.replaces",
            sentence("the record that it corrects is not here"),
            sentence("Sync the phone that made the record."),
        )
    if root.kind == CORRECTION:
        wrong = sentence("it corrects a correction")
        return bad_value("body.replaces", wrong, sentence("Name the first record instead."))
    if withdraw:
        return None
    if rec.v > VERSION:
        return _newer(rec)
    spec = root.spec
    return _unknown_kind(root) if spec is None else check_body(spec, body["body"], at="body.body")


_UPDATE = sentence("Update the server; the record is kept and applied then.")


def _unknown_kind(rec: Rec) -> Fault:
    return Fault(
        "unknown_kind",
        "kind",
        sentence("{kind} is no kind of record that this server knows", kind=rec.kind),
        _UPDATE,
    )


def _newer(rec: Rec) -> Fault:
    return Fault(
        "unknown_kind",
        "v",
        sentence(
            "{kind} comes in form {form}; this server knows forms up to {known}",
            kind=rec.kind,
            form=rec.v,
            known=VERSION,
        ),
        _UPDATE,
    )


def _judge_root(rec: Rec, world: World) -> None:
    if rec.fate == Fate.WITHDRAWN:
        return
    fault = _root_fault(rec, world)
    rec.settle(Fate.SET_ASIDE if fault else Fate.APPLIED, fault)


def _root_fault(rec: Rec, world: World) -> Fault | None:
    kind = KINDS.get(rec.kind)
    if kind is None:
        return _unknown_kind(rec)
    if rec.v > VERSION:
        return _newer(rec)
    body = rec.effective
    fault = check_header(kind, rec.tree, rec.run) or check_body(kind, body)
    if fault:
        return fault
    if kind.tree and kind.makes != "tree" and not world.has("tree", rec.tree):
        return _missing("tree", "tree")
    if rec.ref is not None:
        path = kind.ref if kind.ref == "run" else f"body.{kind.ref}"
        there = world.has(kind.ref_thing, rec.ref)
        if not there or (kind.ref == "wiring" and world.tree_of_wiring(rec.ref) != rec.tree):
            return _missing(kind.ref_thing, path)
    if "species" in body and kind.makes in ("tree", "lot") and not world.has_species(body["species"]):
        return Fault(
            "unknown_species",
            "body.species",
            sentence("{species} is no species of this nursery", species=body["species"]),
            sentence("Use a species from the list, or add it."),
        )
    return None


_WHERE = {
    "tree": (
        sentence("the tree is not known here"),
        sentence("Sync the phone that made the tree, or withdraw this record."),
    ),
    "bench": (
        sentence("the bench is not known here"),
        sentence("Add the bench at the shed, or correct this record."),
    ),
    "lot": (
        sentence("the seed lot is not known here"),
        sentence("Add the lot at the shed, or correct this record."),
    ),
    "site": (
        sentence("the site is not known here"),
        sentence("Add the site at the shed, or correct this record."),
    ),
    "wiring": (
        sentence("this tree has no such wiring"),
        sentence("Sync the phone that put the wire on, or correct this record."),
    ),
    "run": (
        sentence("the walk is not known here"),
        sentence("Sync the phone that made the walk, or withdraw this record."),
    ),
}


def _missing(thing: str, field: str) -> Fault:
    message, mend = _WHERE[thing]
    return Fault(UNKNOWN[thing], field, message, mend)
