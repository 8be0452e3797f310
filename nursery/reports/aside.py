"""What a person has to settle: records set aside, ids used twice, doubles, clocks that run ahead."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Count, Exists, F, Max, OuterRef, Q, QuerySet

from nursery.models import Contested, Fate, JournalRecord, Tree
from nursery.sentences import english, later, said, say, unkept

from .names import device_names, names_of, who
from .pages import Page, cut
from .telling import ids_in, kind_word, tell
from .tree import local

#: What each reason means for the person who settles it: will it mend itself, or must somebody act?
WAITS: dict[str, str] = {
    "unknown_tree": later("It applies by itself as soon as the record that makes its tree arrives."),
    "unknown_bench": later("It applies by itself as soon as the record that makes its bench arrives."),
    "unknown_lot": later("It applies by itself as soon as the record that makes its lot arrives."),
    "unknown_site": later("It applies by itself as soon as the record that makes its site arrives."),
    "unknown_wiring": later("It applies by itself as soon as the record of that wiring arrives."),
    "unknown_run": later("It applies by itself as soon as the start of its walk arrives."),
    "unknown_record": later("It applies by itself as soon as the record that it corrects arrives."),
    "unknown_kind": later(
        "A phone newer than this server made it. Update the server; until then it is kept whole."
    ),
    "could_not_apply": later(
        "The server failed on it. It is kept whole and tried again at the next hand-over."
    ),
}


#: Reasons that a right value in one field settles.
MENDABLE = ("bad_value", "unknown_species")


@dataclass(frozen=True)
class AsideRow:
    """A record kept whole but not applied. ``value`` is what stands in the field at fault."""

    id: UUID
    kind: str
    kind_word: str
    tree: UUID | None
    tag: str
    at: datetime
    received_at: datetime
    who: str
    text: str
    reason: str
    field: str
    value: str
    message: str
    mend: str
    waits: str
    mendable: bool
    #: A correction that was refused: the record it was for can be confirmed as it stands.
    keepable: bool
    #: The part at fault where it lies inside a list: no single field here can put it right.
    deep: str


def body_key(field: str) -> str:
    """The entry of the body that a fault names: "mm" for "body.mm"; "" where it is none, or lies deeper."""
    key = field.removeprefix("body.")
    return key if key != field and key.isidentifier() else ""


def deep_words(value: object, message: str) -> str:
    """The entry of a list that a fault is in, in words: "Root 2 of 3: deg 400, grade 3, level yes"; or "".

    ``message`` : why it is set aside, in English.
    """
    if not isinstance(value, list | dict):
        return ""
    named = re.match(r"root (\d+)\b", message)
    at = int(named[1]) if named else 0
    if not isinstance(value, list) or not 1 <= at <= len(value):
        return said("The fault lies inside a list.")
    entry = value[at - 1]
    parts = [f"{k} {_plain(v)}" for k, v in entry.items()] if isinstance(entry, dict) else [_plain(entry)]
    told = ", ".join(parts)
    return said("Root {at} of {all}: {told}.", at=at, all=len(value), told=told[:200])


def _plain(value: object) -> str:
    return {True: said("yes"), False: said("no")}[value] if isinstance(value, bool) else str(value)


def _aside(found: Iterable[JournalRecord]) -> list[AsideRow]:
    rows = list(found)
    phones = device_names(r.device for r in rows)
    names = names_of(set().union(*(ids_in(r.body) for r in rows)) if rows else set())
    trees = {r.tree for r in rows if r.tree}
    tags = dict(Tree.objects.filter(id__in=trees).values_list("id", "tag")) if trees else {}
    return [_aside_row(r, phones, names, tags) for r in rows]


def _aside_row(
    r: JournalRecord, phones: dict[UUID, str], names: dict[str, str], tags: dict[UUID, str]
) -> AsideRow:
    body: dict[str, Any] = r.corrected_body if isinstance(r.corrected_body, dict) else {}
    body = body or (r.body if isinstance(r.body, dict) else {})
    key = body_key(r.field)
    value = body.get(key) if key else None
    message, bad = unkept(r.message), r.reason == "bad_value"
    simple = value is None or isinstance(value, str | int | float)
    mendable = bool(key) and simple and r.kind != "correction" and r.reason in MENDABLE
    return AsideRow(
        id=r.id,
        kind=r.kind,
        kind_word=kind_word(r.kind),
        tree=r.tree if r.tree in tags else None,
        tag=tags.get(r.tree, "") if r.tree else "",
        at=local(r),
        received_at=r.received_at,
        who=who(r.device, phones),
        text=tell(r.kind, body, names),
        reason=r.reason,
        field=key,
        value=str(value) if mendable and value is not None else "",
        message=say(message),
        mend=say(unkept(r.mend)),
        waits=WAITS.get(r.reason, ""),
        mendable=mendable,
        deep=deep_words(value, english(message)) if bad and r.kind != "correction" else "",
        keepable=r.kind == "correction" and bad and r.ref is not None,
    )


def unsettled() -> "QuerySet[JournalRecord]":
    """Records set aside that still need a person.

    A correction cannot be corrected, so a bad one is settled by a later good correction of the same record.
    """
    later = JournalRecord.objects.filter(
        kind="correction", fate=Fate.APPLIED, ref=OuterRef("ref"), hlc__gt=OuterRef("hlc")
    )
    return JournalRecord.objects.set_aside().exclude(Q(kind="correction", ref__isnull=False) & Exists(later))


def set_aside(number: int = 1) -> Page[AsideRow]:
    """Records set aside, the newest first. At most seven queries."""
    query = unsettled().order_by("-received_at", "-hlc", "-id")
    return cut(query, number, _aside)


@dataclass(frozen=True)
class ContestedRow:
    """Two contents that came with one id: the first was kept and judged, the second only kept."""

    id: int
    record: UUID
    kind_word: str
    tree: UUID | None
    at: datetime | None
    received_at: datetime
    who: str
    first: str
    second: str
    alike: bool


def _contested(found: Iterable[Contested]) -> list[ContestedRow]:
    rows = list(found)
    firsts = JournalRecord.objects.in_bulk([c.record for c in rows]) if rows else {}
    phones = device_names(c.device for c in rows)
    bodies = [r.body for r in firsts.values()] + [_content(c).get("body") for c in rows]
    names = names_of(set().union(*(ids_in(b) for b in bodies)) if bodies else set())
    made = []
    for c in rows:
        first, content = firsts.get(c.record), _content(c)
        kind = str(content.get("kind", ""))
        made.append(
            ContestedRow(
                id=c.pk,
                record=c.record,
                kind_word=kind_word(first.kind if first else kind),
                tree=first.tree if first else None,
                at=local(first) if first else None,
                received_at=c.received_at,
                who=who(c.device, phones),
                first=tell(first.kind, first.body, names) if first else "",
                second=tell(kind, content.get("body"), names),
                alike=first is not None
                and first.kind == kind
                and str(first.tree) == str(content.get("tree")),
            )
        )
    return made


def _content(c: Contested) -> dict[str, Any]:
    return c.content if isinstance(c.content, dict) else {}


def contested(number: int = 1) -> Page[ContestedRow]:
    """Ids used twice that nobody has settled, the newest first. At most seven queries."""
    query = Contested.objects.filter(settled_at__isnull=True).order_by("-received_at", "-id")
    return cut(query, number, _contested)


@dataclass(frozen=True)
class DoubleTree:
    """A tree that shares a tag or a place."""

    id: UUID
    tag: str
    species: str
    where: str


@dataclass(frozen=True)
class Double:
    """Trees that share one tag, or one place."""

    what: str
    trees: list[DoubleTree]


def _double_tree(t: Tree) -> DoubleTree:
    where = said("on no bench")
    if t.bench:
        where = said("{bench}, row {row}, place {place}", bench=t.bench.name, row=t.row, place=t.place)
    return DoubleTree(t.id, t.tag, t.species.called, where)


def tags_used_twice(limit: int = 100) -> list[Double]:
    """Tags on more than one tree that is here, in order. Two queries."""
    tags = list(
        Tree.objects.filter(left_how="")
        .order_by("tag")
        .values("tag")
        .annotate(n=Count("id"))
        .filter(n__gt=1)
        .values_list("tag", flat=True)[:limit]
    )
    trees = Tree.objects.filter(left_how="", tag__in=tags).select_related("species", "bench")
    found: dict[str, list[DoubleTree]] = {tag: [] for tag in tags}
    for t in trees.order_by("tag", "id"):
        found[t.tag].append(_double_tree(t))
    return [Double(tag, rows) for tag, rows in found.items()]


def places_used_twice(limit: int = 100) -> list[Double]:
    """Places with more than one tree on them, in order. Two queries."""
    places = list(
        Tree.objects.filter(left_how="", bench__isnull=False)
        .order_by("bench", "row", "place")
        .values_list("bench", "row", "place")
        .annotate(n=Count("id"), last=Max("id"))
        .filter(n__gt=1)
        .values_list("bench", "row", "place")[:limit]
    )
    on = {b for b, _, _ in places}
    rows = {r for _, r, _ in places}
    trees = Tree.objects.filter(left_how="", bench__in=on, row__in=rows).select_related("species", "bench")
    found: dict[tuple[UUID, int | None, int | None], list[DoubleTree]] = {p: [] for p in places}
    for t in trees.order_by("tag", "id"):
        if t.bench_id and (t.bench_id, t.row, t.place) in found:
            found[t.bench_id, t.row, t.place].append(_double_tree(t))
    return [Double(trees[0].where, trees) for trees in found.values() if trees]


@dataclass(frozen=True)
class AheadRow:
    """A record stamped by a clock that ran ahead of the server's."""

    id: UUID
    kind_word: str
    tree: UUID | None
    stamped: datetime
    received_at: datetime
    minutes: int
    who: str


def _ahead(found: Iterable[JournalRecord]) -> list[AheadRow]:
    rows = list(found)
    phones = device_names(r.device for r in rows)
    made = []
    for r in rows:
        stamped = datetime.fromtimestamp(int(r.hlc.split("-")[0]) / 1000, UTC)
        minutes = (stamped - r.received_at) // timedelta(minutes=1)
        made.append(
            AheadRow(r.id, kind_word(r.kind), r.tree, stamped, r.received_at, minutes, who(r.device, phones))
        )
    return made


def ahead(number: int = 1) -> Page[AheadRow]:
    """Records stamped more than five minutes ahead, the newest first. Three queries."""
    query = JournalRecord.objects.filter(ahead=True).order_by(F("received_at").desc(), "-id")
    return cut(query, number, _ahead)


@dataclass(frozen=True)
class ToSettle:
    """How many things wait for a person."""

    set_aside: int
    contested: int
    tags: int
    places: int
    ahead: int

    @property
    def total(self) -> int:
        """Clocks are told, not counted: there is nothing to settle about a record stamped ahead."""
        return self.set_aside + self.contested + self.tags + self.places


def to_settle() -> ToSettle:
    """Five queries."""
    here = Tree.objects.filter(left_how="").order_by()
    tags = here.values("tag").annotate(n=Count("id")).filter(n__gt=1)
    places = here.filter(bench__isnull=False).values("bench", "row", "place").annotate(n=Count("id"))
    return ToSettle(
        unsettled().count(),
        Contested.objects.filter(settled_at__isnull=True).count(),
        tags.count(),
        places.filter(n__gt=1).count(),
        JournalRecord.objects.filter(ahead=True).count(),
    )


def waiting() -> int:
    """How many records are set aside. One query, by its own small index."""
    return unsettled().count()


def one(record: JournalRecord) -> AsideRow:
    """One record set aside, told as in the list."""
    return _aside([record])[0]
