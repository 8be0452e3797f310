"""What the invented nursery is made of: its ground, benches, lots and cohorts."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

import numpy as np

from nursery.models import Species
from nursery.science import tags

from .pen import Pen, Record

NAME = "Tarnwick Rise"
#: A point in the open sea: nobody's ground.
LATITUDE, LONGITUDE = 44.0, -30.0
BENCHES = (
    "Cold frame",
    "Nursery bench",
    "Wall bench",
    "Well bench",
    "South rail",
    "Long bench",
    "Grow boxes",
    "East bench",
    "Shade bench",
    "Show bench",
)
#: The benches where each phase is kept, by index.
HOME = {0: (0, 1), 1: (2, 3), 2: (4, 5, 6, 7), 3: (8, 7), 4: (9, 8)}
#: Share of the sowings and prefix of the tags, by species; others share the rest under X.
KINDS = {
    "japanese-black-pine": (0.44, "K"),
    "japanese-red-pine": (0.09, "R"),
    "japanese-white-pine": (0.08, "W"),
    "trident-maple": (0.13, "T"),
    "japanese-maple": (0.10, "M"),
    "chinese-elm": (0.09, "E"),
}
SOURCES = (
    "own seed, old tree by the gate",
    "exchange with a neighbour",
    "bought in, harbour market",
    "own seed, east hedge",
    "gathered on the ridge",
)
STYLES = ("informal_upright", "slanting", "formal_upright", "semi_cascade", "broom", "clump", "literati")
STYLE_SHARE = (0.5, 0.14, 0.12, 0.08, 0.06, 0.05, 0.05)


@dataclass
class Lot:
    id: str
    species: Species
    sown: date
    luck: float


@dataclass
class Seedling:
    """One tree before it is tagged."""

    id: str
    tag: str
    lot: Lot
    enters: datetime
    phase: int
    age: int
    height_mm: int
    style: str


def at(day: date, hour: float = 9.0) -> datetime:
    return datetime(day.year, day.month, day.day, tzinfo=UTC) + timedelta(hours=hour)


def ground(
    pen: Pen, start: date, trees: int, benches: int
) -> tuple[list[Record], list[str], tuple[int, int]]:
    """Site and benches with room for all ``trees``: records, the benches' ids, (rows, places) of each."""
    places = min(10, -(-trees // benches)) if trees <= benches * 200 else 40
    rows = -(-trees // (benches * places))
    when = at(start, 7)
    site = pen.new_id(when)
    records = [
        pen.write(
            "site_set",
            when,
            {
                "site": site,
                "name": NAME,
                "time_zone": "UTC",
                "latitude": LATITUDE,
                "longitude": LONGITUDE,
            },
        )
    ]
    ids = []
    for n in range(benches):
        name = BENCHES[n] if n < len(BENCHES) else f"Bench {n + 1}"
        ids.append(pen.new_id(when))
        body: Record = {"bench": ids[-1], "site": site, "name": name, "rows": rows, "places": places}
        records.append(pen.write("bench_set", when, body | {"walk_order": n + 1}))
    return records, ids, (rows, places)


def sowings(
    pen: Pen, rng: np.random.Generator, start: date, today: date, years: int
) -> tuple[list[Record], list[Lot]]:
    """Three or four lots each spring, of very different luck; and the old lots that were there before."""
    species = list(Species.objects.order_by("slug"))
    share = np.array([KINDS.get(s.slug, (0.07, "X"))[0] for s in species])
    records: list[Record] = []
    lots: list[Lot] = []
    springs = [date(start.year - n, 3, 20) for n in (14, 11, 9, 6, 3)]
    springs += [day for n in range(years + 1) if start <= (day := date(start.year + n, 3, 20)) <= today]
    for spring in springs:
        kinds = rng.choice(len(species), 4, replace=False, p=share / share.sum())
        if not any(species[k].slug == "japanese-black-pine" for k in kinds):
            kinds[0] = max(range(len(species)), key=lambda k: share[k])
        for n, k in enumerate(kinds):
            day = spring + timedelta(days=int(rng.integers(0, 25)))
            if day > today:
                continue
            lot = Lot("", species[int(k)], day, float(rng.lognormal(0, 0.2)))
            records += _sow(pen, rng, lot, max(day, start), "ABCD"[n])
            lots.append(lot)
    return records, lots


def _sow(pen: Pen, rng: np.random.Generator, lot: Lot, written: date, letter: str) -> list[Record]:
    when = at(written, 8 + rng.uniform(0, 2))
    lot.id = pen.new_id(when)
    code = f"{prefix(lot.species)}{lot.sown.year % 100:02d}-{letter}"
    source = SOURCES[int(rng.integers(len(SOURCES)))]
    body: Record = {
        "lot": lot.id,
        "code": code,
        "species": lot.species.slug,
        "source": source,
        "year": lot.sown.year,
    }
    seeds = int(rng.integers(60, 240))
    sown: Record = {
        "lot": lot.id,
        "on": lot.sown.isoformat(),
        "seeds": seeds,
        "floaters": int(rng.binomial(seeds, 0.1 + 0.12 * rng.random())),
        "flat": f"Flat {int(rng.integers(1, 30))}",
    }
    return [pen.write("lot_set", when, body), pen.write("sowing", when + timedelta(minutes=2), sown)]


def prefix(species: Species) -> str:
    fallback = "J" if species.habit == "juniper" else "X"
    return KINDS.get(species.slug, (0.0, fallback))[1]


def seedlings(
    pen: Pen, rng: np.random.Generator, lots: list[Lot], start: date, today: date, trees: int
) -> list[Seedling]:
    """The trees that were ever tagged: one in eight came in at the start, already grown."""
    old = [lot for lot in lots if lot.sown < start]
    young = [lot for lot in lots if lot.sown >= start and lot.sown + timedelta(days=210) <= today]
    grown = trees // 8 if young else trees
    # Lots of early years lost more seedlings since; sowing was even, so the young are a few more.
    picked = [old[int(n)] for n in rng.integers(0, len(old), grown)]
    if young:
        picked += [young[int(n)] for n in rng.integers(0, len(young), trees - grown)]
    picked.sort(key=lambda lot: (lot.sown, lot.id))
    counts: dict[str, int] = {}
    made = []
    for lot in picked:
        letter = prefix(lot.species)
        counts[letter] = counts.get(letter, 0) + 1
        age = max(0, (start - lot.sown).days // 365)
        day = start + timedelta(days=int(rng.integers(0, 10)))
        if lot.sown >= start:
            day = lot.sown + timedelta(days=int(rng.integers(150, 210)))
        enters = at(day, 8 + 8 * rng.random())
        made.append(
            Seedling(
                id=pen.new_id(enters),
                tag=tags.make(letter, counts[letter]),
                lot=lot,
                enters=enters,
                phase=_phase_at(age, rng),
                age=age,
                height_mm=int(rng.choice([100, 120, 150, 180, 220, 260, 320, 420])),
                style=str(rng.choice(STYLES, p=STYLE_SHARE)),
            )
        )
    return made


def _phase_at(age: int, rng: np.random.Generator) -> int:
    edges = np.array([1, 4, 9, 13]) + rng.normal(0, 0.8, 4)
    return int((age > edges).sum())
