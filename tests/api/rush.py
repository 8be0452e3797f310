"""Threads that get in each other's way, on a database of their own: ``python -m tests.api.rush``.

A process of its own, so that nothing else writes, and waits are as short as it likes.
Prints one JSON object.
"""

import json
import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier, Event, Thread
from typing import Any

import django

THREADS = 16


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "nursery.settings")
    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    print(json.dumps(pairing() | {"held": push_while_held()}))


def pairing() -> dict[str, Any]:
    """Sixteen at once with one right code, then sixteen guesses at once, then the right code too late."""
    from nursery import people
    from nursery.models import Device, PairingCode

    shared = people.make_pairing_code("Ann", "helper")
    same_code = _at_once(lambda _: shared)
    phones = Device.objects.count()
    guarded = people.make_pairing_code("Bo", "helper")
    guesses = _at_once(lambda number: f"2222-22{people.CODE_LETTERS[number]}2")
    tries = PairingCode.objects.get(used_at=None).tries
    late = _fared(guarded, "the owner")
    return {"same_code": same_code, "phones": phones, "guesses": guesses, "tries": tries, "late": late}


def _fared(code: str, who: str) -> str:
    from nursery import people
    from nursery.errors import MishoError

    try:
        people.pair(code, who=who)
    except MishoError as refusal:
        return refusal.code
    return "paired"


def _at_once(code: Callable[[int], str]) -> list[str]:
    """Each thread tries once, from an address of its own; gives how they fared."""
    from django.db import connection

    gate = Barrier(THREADS)

    def one(number: int) -> str:
        gate.wait()
        try:
            return _fared(code(number), f"{code(0)} {number}")
        finally:
            connection.close()

    with ThreadPoolExecutor(THREADS) as pool:
        return sorted(pool.map(one, range(THREADS)))


def push_while_held() -> dict[str, Any]:
    """Push and pull while another writer holds the database, and push again when it has let go."""
    from django.db import connection, transaction

    from nursery import feed
    from nursery.models import Device, JournalRecord
    from tests.api.phone import Phone
    from tests.factories import record

    phone = Phone()
    Device.objects.filter(pk=phone.device.pk).update(seen_at=None)
    sent = record("site_set", {"site": "0196f5c0-0000-7000-8000-000000000001", "name": "Field"})
    held, answered = Event(), Event()

    def hold() -> None:
        with transaction.atomic():
            feed.lock_head()
            held.set()
            answered.wait(60)
        connection.close()

    other = Thread(target=hold)
    other.start()
    held.wait(60)
    with connection.cursor() as cursor:
        # A server waits 20 seconds.
        sqlite = connection.vendor == "sqlite"
        cursor.execute("PRAGMA busy_timeout = 100" if sqlite else "SET lock_timeout = 100")
    response = phone.push([sent])
    pulled = phone.pull().status_code
    unseen = Device.objects.filter(seen_at=None).count()
    stored = JournalRecord.objects.count()
    answered.set()
    other.join()
    again = phone.push([sent]).json()["results"][0]["outcome"]
    told = {"status": response.status_code, "wait": response["Retry-After"], "body": response.json()}
    return told | {"stored": stored, "again": again, "pulled": pulled, "unseen": unseen}


if __name__ == "__main__":
    main()
