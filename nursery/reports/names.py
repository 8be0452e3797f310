"""Names for the ids that records carry."""

from collections.abc import Iterable
from uuid import UUID

from nursery.models import Bench, Device, SeedLot, Site
from nursery.sentences import later, said

SHED = later("at the shed")


def _uuids(texts: Iterable[str]) -> list[UUID]:
    found = []
    for text in texts:
        try:
            found.append(UUID(text))
        except ValueError:
            continue
    return found


def names_of(ids: Iterable[str]) -> dict[str, str]:
    """Names of benches, lots and sites by id as text. At most three queries, whatever the number of ids."""
    wanted = _uuids(ids)
    names: dict[str, str] = {}
    if wanted:
        names |= {str(k): v for k, v in Bench.objects.filter(id__in=wanted).values_list("id", "name")}
        names |= {str(k): v for k, v in SeedLot.objects.filter(id__in=wanted).values_list("id", "code")}
        names |= {str(k): v for k, v in Site.objects.filter(id__in=wanted).values_list("id", "name")}
    return names


def device_names(ids: Iterable[UUID | None]) -> dict[UUID, str]:
    """Names of phones by id. One query."""
    wanted = {i for i in ids if i is not None}
    return dict(Device.objects.filter(id__in=wanted).values_list("id", "name")) if wanted else {}


def who(device: UUID | None, names: dict[UUID, str]) -> str:
    """Where a record came from."""
    if device is None:
        return SHED
    return names.get(device) or said("a phone no longer listed")
