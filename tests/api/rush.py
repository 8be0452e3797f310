"""Many threads at one pairing code, on a database file of their own: ``python -m tests.api.rush``.

A process of its own, because the tests' database lives in memory, where writers do not wait for each other.
Prints one JSON object.
"""

import json
import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import django

THREADS = 16


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "nursery.settings")
    django.setup()
    from django.core.management import call_command
    from django.db import connection

    from nursery import people
    from nursery.errors import MishoError
    from nursery.models import Device, PairingCode

    def at_once(code: Callable[[int], str]) -> list[str]:
        """Each thread tries once, from an address of its own; gives how each fared."""
        gate = Barrier(THREADS)

        def one(number: int) -> str:
            gate.wait()
            try:
                people.pair(code(number), who=f"{code(0)} {number}")
            except MishoError as refusal:
                return refusal.code
            finally:
                connection.close()
            return "paired"

        with ThreadPoolExecutor(THREADS) as pool:
            return sorted(pool.map(one, range(THREADS)))

    call_command("migrate", verbosity=0)
    shared = people.make_pairing_code("Ann", "helper")
    same_code = at_once(lambda _: shared)
    phones = Device.objects.count()
    guarded = people.make_pairing_code("Bo", "helper")
    guesses = at_once(lambda number: f"2222-22{people.CODE_LETTERS[number]}2")
    tries = PairingCode.objects.get(used_at=None).tries
    try:
        people.pair(guarded, who="the owner")
        late = "paired"
    except MishoError as refusal:
        late = refusal.code
    print(
        json.dumps(
            {"same_code": same_code, "phones": phones, "guesses": guesses, "tries": tries, "late": late}
        )
    )


if __name__ == "__main__":
    main()
