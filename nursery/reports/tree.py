"""One tree: its standing with reasons and evidence, its measurements, and its records in time."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta, timezone
from typing import Any
from uuid import UUID

from nursery import practice
from nursery.models import Fate, JournalRecord, Standing, Tree
from nursery.science.practice import Practice
from nursery.sentences import said, say, unkept

from . import words
from .names import device_names, names_of, who
from .pages import Page, cut
from .telling import ids_in, kind_word, tell
from .thick import Measure, Thickness, measures, thickness


@dataclass(frozen=True)
class Evidence:
    """One record that a criterion rests on. ``record`` is "" where it rests on none."""

    record: str
    on: date | None
    text: str


@dataclass(frozen=True)
class CriterionRow:
    """One criterion: P(met | evidence), whether anybody looked, and why."""

    name: str
    words: str
    p: float | None
    looked: bool
    why: str
    evidence: list[Evidence]


@dataclass(frozen=True)
class StandingRow:
    """A tree's standing as of a day. ``mark``: from which readiness on a tree is called ready."""

    as_of: date
    gate: words.GateWords | None
    readiness: float | None
    mark: float
    ready: bool
    held: str
    why: str
    do: str
    criteria: list[CriterionRow]
    due: list[tuple[str, str]]
    wire_state: str
    wire_on_since: date | None
    wire_look_by: date | None
    wire_why: str
    buds_p: float | None

    @property
    def wire_word(self) -> str:
        return say(self.wire_state)


@dataclass(frozen=True)
class Change:
    """A correction of a record, told beside it."""

    id: UUID
    at: datetime
    who: str
    text: str
    refused: str


@dataclass(frozen=True)
class Entry:
    """One record in time. ``at`` is the observer's own wall clock; ``first`` is what was said at first."""

    id: UUID
    kind: str
    at: datetime
    who: str
    bulk: bool
    text: str
    first: str
    fate: str
    message: str
    mend: str
    ahead: bool
    changes: list[Change]


@dataclass(frozen=True)
class TreePage:
    """All about one tree. ``twins``: other trees here with its tag; ``crowd``: others on its place."""

    id: UUID
    tag: str
    species: str
    latin: str
    habit: str
    phase: str
    phase_word: str
    phase_since: date
    sown_year: int | None
    lot: str
    bench_id: UUID | None
    bench: str
    row: int | None
    place: int | None
    target_height_mm: float | None
    target_base_mm: float | None
    target_style: str
    target_style_word: str
    left: str
    left_on: date | None
    left_why: str
    standing: StandingRow | None
    measures: list[Measure]
    thickness: Thickness | None
    twins: list[tuple[UUID, str]]
    crowd: list[tuple[UUID, str]]
    practice: Practice


def local(record: JournalRecord) -> datetime:
    """The observer's wall clock, without a zone (it is theirs, not the server's)."""
    zone = timezone(timedelta(minutes=record.utc_offset_min))
    return record.observed_at.astimezone(zone).replace(tzinfo=None)


def _day(text: object) -> date | None:
    try:
        return date.fromisoformat(str(text)[:10])
    except ValueError:
        return None


def _criterion(c: dict[str, Any]) -> CriterionRow:
    name = str(c.get("name", ""))
    known = words.CRITERIA.get(name)
    p = c.get("p")
    evidence = c.get("evidence")
    return CriterionRow(
        name=name,
        words=str(known.met) if known else name.replace("_", " "),
        p=float(p) if isinstance(p, int | float) else None,
        looked=bool(c.get("looked")),
        why=say(c.get("why", "")),
        evidence=[
            Evidence(str(e.get("record") or ""), _day(e.get("on")), say(e.get("text", "")))
            for e in (evidence if isinstance(evidence, list) else [])
        ],
    )


def _standing(s: Standing, mark: float) -> StandingRow:
    ready = s.readiness is not None and s.readiness >= mark
    criteria = [_criterion(c) for c in s.criteria]
    return StandingRow(
        as_of=s.as_of,
        gate=words.GATES.get(s.gate),
        readiness=s.readiness,
        mark=mark,
        ready=ready,
        held="" if ready else words.held_words(s.held_by, s.held_not_looked, s.readiness),
        why=next((c.why for c in criteria if c.name == s.held_by), ""),
        do=words.next_step(
            *(s.gate, ready, s.held_by, s.held_not_looked, s.readiness),
            wire_on=s.wire_on_since is not None,
            target=s.tree.has_target,
        ),
        criteria=criteria,
        due=[(str(words.DUE.get(d["what"], d["what"])), say(d.get("why", ""))) for d in s.due],
        wire_state=s.wire_state.replace("_", " "),
        wire_on_since=s.wire_on_since,
        wire_look_by=s.wire_look_by,
        wire_why=say(s.wire_why),
        buds_p=s.buds_p,
    )


def tree(id: UUID) -> TreePage:
    """Eight queries: the tree with what hangs on it, settings, measurements, what was learned, twins, crowd.

    Raises ``Tree.DoesNotExist`` for an unknown id.
    """
    t = Tree.objects.select_related("species", "lot", "bench", "standing").get(pk=id)
    standing: Standing | None = getattr(t, "standing", None)
    others = Tree.objects.filter(left_how="").exclude(pk=id).order_by("tag", "id")
    at_place = others.filter(bench=t.bench_id, row=t.row, place=t.place) if t.bench_id else others.none()
    own = practice.current()
    forecast, marked = thickness(t, measures(t), own)
    return TreePage(
        id=t.id,
        tag=t.tag,
        species=t.species.called,
        latin=t.species.latin,
        habit=t.species.habit,
        phase=t.phase,
        phase_word=t.get_phase_display(),
        phase_since=t.phase_since,
        sown_year=t.sown_year,
        lot=t.lot.code if t.lot else "",
        bench_id=t.bench_id,
        bench=t.bench.name if t.bench else "",
        row=t.row,
        place=t.place,
        target_height_mm=t.target_height_mm,
        target_base_mm=t.target_base_mm,
        target_style=t.target_style,
        target_style_word=t.get_target_style_display() if t.target_style else "",
        left=t.get_left_how_display() if t.left_how else "",
        left_on=t.left_on,
        left_why=t.left_why,
        standing=_standing(standing, own.ready) if standing else None,
        measures=marked,
        thickness=forecast,
        twins=[(x.id, x.species.called) for x in others.filter(tag=t.tag).select_related("species")[:20]]
        if not t.left_how
        else [],
        crowd=list(at_place.values_list("id", "tag")[:20]) if not t.left_how else [],
        practice=own,
    )


def records(id: UUID, number: int = 1) -> Page[Entry]:
    """A tree's records, the newest first, each with its corrections. At most seven queries."""
    query = (
        JournalRecord.objects.filter(tree=id)
        .exclude(kind="correction", ref__isnull=False)
        .order_by("-hlc", "-id")
    )
    return cut(query, number, _entries)


def _entries(found: Iterable[JournalRecord]) -> list[Entry]:
    roots = list(found)
    corrections: dict[UUID | None, list[JournalRecord]] = defaultdict(list)
    asked = JournalRecord.objects.filter(kind="correction", ref__in=[r.id for r in roots])
    for c in asked.order_by("hlc", "id") if roots else []:
        corrections[c.ref].append(c)
    everything = [*roots, *(c for cs in corrections.values() for c in cs)]
    phones = device_names(r.device for r in everything)
    bodies = [r.body for r in everything] + [r.corrected_body for r in roots]
    bodies += [r.body.get("body") for r in everything if isinstance(r.body, dict)]
    names = names_of(set().union(*(ids_in(b) for b in bodies)) if bodies else set())
    return [_entry(r, corrections[r.id], phones, names) for r in roots]


def _entry(
    r: JournalRecord, changes: list[JournalRecord], phones: dict[UUID, str], names: dict[str, str]
) -> Entry:
    own = tell(r.kind, r.body, names)
    body = r.corrected_body if r.corrected_body is not None else r.body
    return Entry(
        id=r.id,
        kind=kind_word(r.kind),
        at=local(r),
        who=who(r.device, phones),
        bulk=bool(body.get("bulk")) if isinstance(body, dict) else False,
        text=tell(r.kind, body, names),
        first=own if r.corrected_body is not None else "",
        fate=r.fate,
        message=say(unkept(r.message)) if r.fate == Fate.SET_ASIDE else "",
        mend=say(unkept(r.mend)) if r.fate == Fate.SET_ASIDE else "",
        ahead=r.ahead,
        changes=[_change(r.kind, c, phones, names) for c in changes],
    )


def _change(kind: str, c: JournalRecord, phones: dict[UUID, str], names: dict[str, str]) -> Change:
    body = c.body if isinstance(c.body, dict) else {}
    text = said("withdrawn")
    if not body.get("withdraw"):
        text = said("corrected to: {told}", told=tell(kind, body.get("body"), names))
    refused = say(unkept(c.message)) if c.fate == Fate.SET_ASIDE else ""
    return Change(c.id, local(c), who(c.device, phones), text, refused)
