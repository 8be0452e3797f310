"""Rows and records for tests.

``record()`` makes a record in the wire form (a dict) as a phone would. ``SiteFactory()`` and its kin make
rows by taking such records in, so that the journal stays the truth also in tests: ``rebuild`` keeps them.
"""

import itertools
import random
import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

import factory

from nursery import journal
from nursery.models import Bench, Device, SeedLot, Site, Tree

START = datetime(2026, 3, 1, 8, 0, tzinfo=UTC)
_rng = random.Random(2026)
_clock = itertools.count()


def new_id() -> str:
    """A UUIDv7-shaped id: time first, then seeded chance."""
    ms = int(START.timestamp() * 1000) + next(_clock)
    value = (ms << 80) | (7 << 76) | (_rng.getrandbits(12) << 64) | (2 << 62) | _rng.getrandbits(62)
    return str(uuid.UUID(int=value))


def stamp(at: datetime, count: int = 0) -> str:
    """The hlc of a moment."""
    return f"{int(at.timestamp() * 1000):015d}-{count:04x}"


def iso(at: datetime) -> str:
    return at.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


class RecordFactory(factory.DictFactory):
    """A record in the wire form. ``at`` sets its time and stamp: by default a minute after the last."""

    class Params:
        at = factory.Sequence(lambda n: START + timedelta(minutes=n))

    id = factory.LazyFunction(new_id)
    device_seq = factory.Sequence(lambda n: n + 1)
    kind = "note"
    v = 1
    tree = None
    run = None
    observed_at = factory.LazyAttribute(lambda o: iso(o.at))
    utc_offset_min = 0
    hlc = factory.LazyAttribute(lambda o: stamp(o.at))
    body = factory.LazyFunction(dict)


def record(kind: str, body: dict[str, Any], **rest: Any) -> dict[str, Any]:
    """A record of a kind: ``record("soil_check", {"state": "dry"}, tree=tree_id)``. UUIDs may be objects."""
    for name in ("tree", "run", "id"):
        if rest.get(name) is not None:
            rest[name] = str(rest[name])
    body = {name: str(value) if isinstance(value, uuid.UUID) else value for name, value in body.items()}
    made: dict[str, Any] = RecordFactory(kind=kind, body=body, **rest)
    return made


def withdrawal(of: dict[str, Any], **rest: Any) -> dict[str, Any]:
    """A record that takes another one back."""
    return record("correction", {"replaces": of["id"], "withdraw": True}, tree=of["tree"], **rest)


def correction(of: dict[str, Any], body: dict[str, Any], **rest: Any) -> dict[str, Any]:
    """A record that puts another body into the place of a first one's."""
    return record("correction", {"replaces": of["id"], "body": body}, tree=of["tree"], **rest)


class _Taken(factory.Factory):
    """Makes a row by taking in the record that makes it."""

    class Meta:
        abstract = True

    id = factory.LazyFunction(lambda: uuid.UUID(new_id()))

    @classmethod
    def _create(cls, model_class: Any, *args: Any, **values: Any) -> Any:
        cls._take(values)
        return model_class.objects.get(pk=values["id"])

    @classmethod
    def _take(cls, values: dict[str, Any]) -> None:
        raise NotImplementedError


def take(*records: dict[str, Any]) -> None:
    """Take records in, and fail loudly where one was not applied."""
    for result in journal.take_in(list(records)):
        assert result.outcome == "stored", result


def _given(values: dict[str, Any], **names: str) -> dict[str, Any]:
    """The entries that have a value, under the body's names."""
    return {to: values[of] for of, to in names.items() if values.get(of) not in (None, "")}


class SiteFactory(_Taken):
    class Meta:
        model = Site

    name = factory.Sequence(lambda n: f"Site {n + 1}")
    time_zone = "Europe/Rome"
    latitude = 45.0
    longitude = 9.0

    @classmethod
    def _take(cls, values: dict[str, Any]) -> None:
        body = {"site": values["id"], **{key: value for key, value in values.items() if key != "id"}}
        take(record("site_set", body))


class BenchFactory(_Taken):
    class Meta:
        model = Bench

    site = factory.SubFactory(SiteFactory)
    name = factory.Sequence(lambda n: f"Bench {n + 1}")
    rows = 4
    places = 15
    walk_order = factory.Sequence(lambda n: n)

    @classmethod
    def _take(cls, values: dict[str, Any]) -> None:
        body = {**values, "bench": values["id"], "site": values["site"].id}
        body.pop("id")
        take(record("bench_set", body))


class SeedLotFactory(_Taken):
    class Meta:
        model = SeedLot

    code = factory.Sequence(lambda n: f"L{n + 1:02d}")
    species = "japanese-black-pine"
    source = "own trees"
    year = 2020

    @classmethod
    def _take(cls, values: dict[str, Any]) -> None:
        body = {**values, "lot": values["id"]}
        body.pop("id")
        take(record("lot_set", body))


class TreeFactory(_Taken):
    """A tree, with ``bench``/``row``/``place``, ``target_*`` and ``left_how`` set by records where given."""

    class Meta:
        model = Tree

    tag = factory.Sequence(lambda n: f"T{n + 1:04d}")
    species = "japanese-black-pine"
    lot: Any = None
    sown_year: Any = 2021
    phase = "seedling"
    bench: Any = None
    row = 1
    place = factory.Sequence(lambda n: n % 200 + 1)
    target_height_mm: Any = None
    target_base_mm: Any = None
    target_style: Any = None
    left_how: Any = None
    at: Any = None

    @classmethod
    def _take(cls, values: dict[str, Any]) -> None:
        id = values["id"]
        when = {"at": values["at"]} if values["at"] else {}
        new = _given(values, tag="tag", species="species", sown_year="sown_year", phase="phase")
        if values["lot"]:
            new["lot"] = values["lot"].id
        records = [record("tree_new", new, tree=id, **when)]
        target = _given(values, target_height_mm="height_mm", target_base_mm="base_mm", target_style="style")
        if target:
            records.append(record("target_set", target, tree=id, **when))
        if values["bench"]:
            place = {"bench": values["bench"].id, "row": values["row"], "place": values["place"]}
            records.append(record("tree_move", place, tree=id, **when))
        if values["left_how"]:
            records.append(record("tree_left", {"how": values["left_how"]}, tree=id, **when))
        take(*records)


class DeviceFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Device

    name = factory.Sequence(lambda n: f"phone {n + 1}")
    role = "helper"
    token_hash = factory.Sequence(lambda n: f"{n:064x}")
    paired_at = START
