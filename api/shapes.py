"""The shapes of bodies and answers, as /api/schema describes them.

They describe, and do not validate: records are judged by the journal, thousands at a time.
"""

from typing import Any

from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema_field
from rest_framework import serializers

from api.permissions import HEADER
from nursery.models import Role

Shape = serializers.Serializer[Any]

PUSH_MOST = 1500
LACKING_MOST = 2000
PULL_DEFAULT = 2000
PULL_MOST = 5000

#: A letter of a pairing code, in either case: none that looks like a digit.
_CODE_LETTER = "[2-9A-HJKMNP-Za-hjkmnp-z]"
_ANY_OBJECT: dict[str, Any] = {"type": "object", "additionalProperties": True}


@extend_schema_field(_ANY_OBJECT)
class AnyObject(serializers.JSONField):
    """An object whose fields depend on the kind."""


@extend_schema_field(
    {
        "description": "text; or, to an app that speaks 3 or more, [text, values] to be said by it",
        "oneOf": [
            {"type": "string"},
            {
                "type": "array",
                "minItems": 2,
                "maxItems": 2,
                "items": {"oneOf": [{"type": "string"}, _ANY_OBJECT]},
            },
        ],
    }
)
class Sentence(serializers.JSONField):
    """A text, or one with values."""


@extend_schema_field(
    {
        "type": "array",
        "description": "topic, key, and the thing's newest state; null: it is gone",
        "minItems": 3,
        "maxItems": 3,
        "items": {"oneOf": [{"type": "string"}, {**_ANY_OBJECT, "nullable": True}]},
    }
)
class FeedTriple(serializers.JSONField):
    """[topic, key, data]"""


class ErrorBody(Shape):
    code = serializers.CharField(help_text="a short word for programs, stable for ever")
    message = serializers.CharField(help_text="what happened")
    field = serializers.CharField(help_text='the field at fault, such as records[3].hlc, or ""')
    mend = serializers.CharField(help_text='what to do, or ""')


class ErrorAnswer(Shape):
    error = ErrorBody()


class RecordShape(Shape):
    """One thing that somebody observed or decided."""

    id = serializers.UUIDField(help_text="version 7, made on the phone")
    device_seq = serializers.IntegerField(required=False, help_text="counts up by one on each phone")
    kind = serializers.CharField(max_length=40)
    v = serializers.IntegerField(min_value=1, help_text="the kind's version")
    tree = serializers.UUIDField(required=False, allow_null=True)
    run = serializers.UUIDField(required=False, allow_null=True, help_text="the walk it belongs to")
    observed_at = serializers.DateTimeField(help_text="the phone's own wall time, in UTC")
    utc_offset_min = serializers.IntegerField(required=False, help_text="[minutes] east of UTC")
    hlc = serializers.RegexField(r"^[0-9]{15}-[0-9a-f]{4}$", help_text="order: milliseconds, counter")
    body = AnyObject()


class PushBody(Shape):
    records = serializers.ListField(
        child=RecordShape(), max_length=PUSH_MOST, help_text=f"at most {PUSH_MOST}, oldest first"
    )


class PushResult(Shape):
    id = serializers.UUIDField()
    outcome = serializers.ChoiceField(["stored", "duplicate", "set_aside"])
    reason = serializers.CharField(required=False, help_text="only where it was set aside: why")
    field = serializers.CharField(required=False)
    message = Sentence(required=False)
    mend = Sentence(required=False)


class PushAnswer(Shape):
    """One result for each record, in the order sent. Each of them is on the server for good."""

    results = PushResult(many=True)
    server_time = serializers.DateTimeField()
    epoch = serializers.CharField()


class PhoneShape(Shape):
    id = serializers.UUIDField()
    name = serializers.CharField()
    role = serializers.ChoiceField(Role.values)


class PullAnswer(Shape):
    epoch = serializers.CharField()
    seq = serializers.IntegerField(help_text="ask on with since=<epoch>:<seq>")
    has_more = serializers.BooleanField(help_text="ask on at once")
    server_time = serializers.DateTimeField()
    rows = serializers.ListField(child=FeedTriple())
    device = PhoneShape()


class LackingBody(Shape):
    ids = serializers.ListField(
        child=serializers.UUIDField(), max_length=LACKING_MOST, help_text=f"at most {LACKING_MOST}"
    )


class LackingAnswer(Shape):
    lacking = serializers.ListField(child=serializers.UUIDField())


class PhotoState(Shape):
    """What the shed has of a picture."""

    photo = serializers.UUIDField()
    state = serializers.ChoiceField(
        ["coming", "kept", "refused"], help_text="kept: whole, with this hash and size, for good"
    )
    have = serializers.IntegerField(help_text="bytes here: where the next piece must begin")
    reason = serializers.CharField(help_text='why it was refused, or ""')
    message = serializers.CharField()
    mend = serializers.CharField()
    server_time = serializers.DateTimeField()
    epoch = serializers.CharField()


class PairBody(Shape):
    code = serializers.RegexField(
        f"^{_CODE_LETTER}{{4}}-?{_CODE_LETTER}{{4}}$", help_text="such as 7KQ4-M2XD"
    )
    name = serializers.CharField(
        max_length=60,
        required=False,
        allow_blank=True,
        help_text="used when the code was made without a name",
    )


class PairAnswer(Shape):
    """Comes with the cookie that signs the phone's requests from now on."""

    device = serializers.UUIDField()
    name = serializers.CharField()
    role = serializers.ChoiceField(Role.values)
    server_time = serializers.DateTimeField()
    epoch = serializers.CharField()


_REFUSALS = {
    400: "malformed: `field` names the place",
    401: "not_paired: pair again",
    403: "forbidden: the role, or the header X-Misho is missing",
    404: "not_found: there is nothing at this address",
    409: "epoch_changed: a backup was restored; begin from nothing and offer again what is still held."
    " id_reused: another picture has this id",
    413: "too_large: halve the batch",
    415: "wrong_form: send application/json, plain or gzipped",
    426: "update_app: the app is too old",
    429: "slow_down: wait for Retry-After [s]",
    503: "busy: nothing was taken in; wait for Retry-After [s]. no_room: the shed's disk is nearly full",
}


def answers(shape: type[Shape], *refusals: int) -> dict[Any, Any]:
    """The answers of one address: its shape, and the errors that it can give."""
    return answers_with({200: shape}, *refusals)


def answers_with(good: dict[Any, Any], *refusals: int) -> dict[Any, Any]:
    """The same, for an answer that is not JSON: ``good`` as drf-spectacular wants it."""
    wrong = {status: OpenApiResponse(ErrorAnswer, description=_REFUSALS[status]) for status in refusals}
    # An error is JSON, whatever form the right answer has.
    typed = {(status, "application/json"): answer for status, answer in wrong.items()}
    return good | (wrong if 200 in good else typed)


OWN_HEADER = OpenApiParameter(
    HEADER,
    str,
    OpenApiParameter.HEADER,
    required=True,
    enum=["1", "2", "3"],
    description="shows that the request comes from the bench app and not from a form elsewhere",
)
