"""Two writers and a reader, step by step in the order that hurts: ``python -m tests.postgres.interleaved``.

The late writer has the head and has not published yet; the early one comes, publishes and commits if it can;
the reader reads; the late one publishes and commits; the reader reads on. Prints a JSON object for each of:
``locked`` (as it is), ``unlocked`` (head lock taken out), and ``bare`` (the numbers not unique either).
"""

import json
import tempfile
from threading import Event, Thread
from typing import Any

from tests.postgres.cluster import fresh_database
from tests.postgres.writers import number_freely, set_up, take_lock_out

PATIENCE_S = 60


def main() -> None:
    with tempfile.TemporaryDirectory(prefix="misho-interleaved-") as data, fresh_database() as url:
        set_up(url, data)
        found = {"locked": meet("locked")}
        take_lock_out()
        found["unlocked"] = meet("unlocked")
        number_freely()
        found["bare"] = meet("bare")
        print(json.dumps(found))


def meet(name: str) -> dict[str, Any]:
    """Let both writers publish one row; gives what the reader saw first and missed, and who was refused."""
    from django.db import connection

    from nursery import feed
    from nursery.models import FeedHead

    early, late = f"{name} early", f"{name} late"
    since = FeedHead.objects.get().seq
    has_head, go_on, refused = Event(), Event(), {}

    def write(key: str, first: bool) -> None:
        from django.db import IntegrityError, transaction

        try:
            with transaction.atomic():
                head = feed.lock_head()
                if first:
                    has_head.set()
                    assert go_on.wait(PATIENCE_S)
                feed.publish(head, [("lot", key, {"code": key})])
        except IntegrityError as fault:
            refused[key] = type(fault).__name__
        finally:
            connection.close()

    one, other = Thread(target=write, args=(late, True)), Thread(target=write, args=(early, False))
    one.start()
    assert has_head.wait(PATIENCE_S)
    other.start()
    until_done_or_waiting(other)
    rows, since, _, _ = feed.read(since, 100)
    first = [row.key for row in rows]
    go_on.set()
    one.join()
    other.join()
    rows = feed.read(since, 100)[0]
    seen = first + [row.key for row in rows]
    return {"first": first, "missed": sorted({early, late} - set(seen)), "refused": refused}


def until_done_or_waiting(writer: Thread) -> None:
    """Until it has ended, or the server says that somebody waits for a lock."""
    from django.db import connection

    sql = (
        "SELECT count(*) FROM pg_stat_activity"
        " WHERE wait_event_type = 'Lock' AND datname = current_database()"
    )
    while writer.is_alive():
        with connection.cursor() as cursor:
            cursor.execute(sql)
            if cursor.fetchone() == (1,):
                return


if __name__ == "__main__":
    main()
