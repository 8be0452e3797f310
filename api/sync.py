"""Push, pull, and the question after a restore: which of these do you lack?"""

import logging
from typing import Any
from uuid import UUID

from django.db import OperationalError
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api import older
from api.authentication import phone_of
from api.base import PhoneView, epoch, server_time
from api.errors import EpochChanged
from api.fields import cursor, identified, listed, whole
from api.permissions import HEADER, spoken
from api.shapes import (
    LACKING_MOST,
    OWN_HEADER,
    PULL_DEFAULT,
    PULL_MOST,
    PUSH_MOST,
    LackingAnswer,
    LackingBody,
    PullAnswer,
    PushAnswer,
    PushBody,
    answers,
)
from nursery import feed, journal, rollup
from nursery.errors import Refused
from nursery.models import JournalRecord
from nursery.people import Action, may

log = logging.getLogger(__name__)
#: How long a pull waits for another writer before it does without the newest standings [ms].
STAND_WAIT_MS = 500


class Push(PhoneView):
    """Take in a phone's records. 200 means that each of them is stored for good, applied or set aside."""

    needs = Action.RECORD

    @extend_schema(
        operation_id="push",
        parameters=[OWN_HEADER],
        request=PushBody,
        responses=answers(PushAnswer, 400, 401, 403, 413, 415, 426, 503),
    )
    def post(self, request: Request) -> Response:
        records = listed(request.data, "records", most=PUSH_MOST)
        own = journal.owners_only(records)
        if own and not may(phone_of(request).role, Action.SETTINGS):
            raise Refused("Only the owner changes settings.", field=own, mend="Change them at the shed.")
        # Before: were a backup put back meanwhile, the answer must not vouch for the restored site.
        epoch_before = epoch()
        results = journal.take_in(records, device=phone_of(request).id, roll_up=False)
        way = spoken(request)
        told = [_told(result, way) for result in results]
        return Response({"results": told, "server_time": server_time(), "epoch": epoch_before})


def _told(result: journal.Result, way: int) -> dict[str, Any]:
    """Of the everyday outcomes no empty words: a push has thousands of results."""
    if result.outcome == "set_aside":
        return older.result(result, way)._asdict()
    return {"id": result.id, "outcome": result.outcome}


class Pull(PhoneView):
    """Give what changed since a cursor. Rows, ``seq`` and ``has_more`` are of one moment."""

    @extend_schema(
        operation_id="pull",
        parameters=[
            OpenApiParameter(
                "since",
                {"type": "string", "pattern": "^[^:]+:[0-9]{1,18}$"},
                description="<epoch>:<seq> of the last answer; absent: from nothing",
            ),
            OpenApiParameter(
                "limit", {"type": "integer", "minimum": 1, "maximum": PULL_MOST, "default": PULL_DEFAULT}
            ),
            OpenApiParameter(
                HEADER,
                str,
                OpenApiParameter.HEADER,
                enum=["1", "2", "3"],
                description="from 2 on reasons come as [text, values], to be said by the app, from 3 on also"
                " why a record was set aside; else as English text",
            ),
        ],
        responses=answers(PullAnswer, 400, 401, 409, 426, 503),
    )
    def get(self, request: Request) -> Response:
        known_epoch, since = cursor(request.query_params.get("since"))
        limit = whole(request.query_params.get("limit"), "limit", default=PULL_DEFAULT, most=PULL_MOST)
        waiting = _stand()
        rows, seq, has_more, epoch_now = feed.read(since, limit)
        # A cursor ahead of the head can only come from records that this database never had.
        if (known_epoch and known_epoch != epoch_now) or seq < since:
            raise EpochChanged(
                "The shed's records were restored from a backup.",
                field="since",
                mend="Pull again from nothing, then offer the records that the phone still holds.",
            )
        phone = phone_of(request)
        way = spoken(request)
        return Response(
            {
                "epoch": epoch_now,
                "seq": seq,
                # Standings that wait come with the next page; without a row this one would lead nowhere.
                "has_more": has_more or (waiting and bool(rows)),
                "server_time": server_time(),
                "rows": [(row.topic, row.key, older.row(row.topic, row.data, way)) for row in rows],
                "device": {"id": str(phone.id), "name": phone.name, "role": phone.role},
            }
        )


def _stand() -> bool:
    """Make some of the standings that pushes left waiting; gives whether others still wait.

    While another writer holds the database a phone reads what there is.
    """
    try:
        return rollup.settle_stale(most=rollup.CHUNK, wait_ms=STAND_WAIT_MS)
    except OperationalError:
        log.warning("standings wait: the database is busy")
        return False


class Lacking(PhoneView):
    """Tell which of these records the server does not hold."""

    @extend_schema(
        operation_id="lacking",
        parameters=[OWN_HEADER],
        request=LackingBody,
        responses=answers(LackingAnswer, 400, 401, 403, 413, 415, 426, 503),
    )
    def post(self, request: Request) -> Response:
        asked = listed(request.data, "ids", most=LACKING_MOST)
        ids = identified(asked, "ids")
        held: set[UUID] = set(JournalRecord.objects.filter(id__in=ids).values_list("id", flat=True))
        return Response({"lacking": [text for text, id in zip(asked, ids, strict=True) if id not in held]})
