"""Every error has one shape, and its words are literal: phones and people read them."""

import gzip
import json
import tracemalloc
from datetime import timedelta

import pytest
from django.utils import timezone

from api.errors import TooLarge, answer
from api.parsing import inflate
from nursery import people
from nursery.models import PairingCode
from tests.api.phone import LACKING, PAIR, PULL, PUSH, Phone

pytestmark = pytest.mark.django_db

NOT_PAIRED = {
    "error": {
        "code": "not_paired",
        "message": "This phone is not paired with the shed.",
        "field": "",
        "mend": "Pair it again with a code from the shed; what it holds stays on it.",
    }
}
NOT_FOUND = {
    "error": {
        "code": "not_found",
        "message": "There is nothing at this address.",
        "field": "",
        "mend": "/api/schema lists the addresses.",
    }
}


def told(response, status, code, message, field="", mend=None):
    """The whole answer: status, shape, words, and that no cache may keep it."""
    assert response["Content-Type"] == "application/json"
    assert response["Cache-Control"] == "no-store"
    error = response.json()["error"]
    assert (response.status_code, error["code"], error["message"], error["field"]) == (
        status,
        code,
        message,
        field,
    )
    assert set(response.json()) == {"error"}
    assert set(error) == {"code", "message", "field", "mend"}
    if mend is not None:
        assert error["mend"] == mend


@pytest.mark.parametrize("path", [PUSH, LACKING])
def test_a_stranger_gets_401_not_403(path):
    response = Phone(paired=False).post(path, {"records": []})
    assert (response.status_code, response.json()) == (401, NOT_PAIRED)
    assert response["WWW-Authenticate"] == 'Misho realm="phone"'
    assert response["Cache-Control"] == "no-store"


def test_a_stranger_without_the_header_is_still_told_to_pair(client):
    assert client.post(PUSH, {}, content_type="application/json").json() == NOT_PAIRED
    response = client.get(PULL)
    assert (response.status_code, response.json()) == (401, NOT_PAIRED)


def test_a_forged_cookie(client):
    client.cookies["misho_phone"] = "x" * 43
    response = client.get(PULL)
    assert (response.status_code, response.json()) == (401, NOT_PAIRED)


def test_a_revoked_phone_has_to_pair_again():
    phone = Phone()
    assert phone.pull().status_code == 200
    people.revoke(phone.device)
    for response in (phone.pull(), phone.push([])):
        assert (response.status_code, response.json()) == (401, NOT_PAIRED)


@pytest.mark.parametrize("method", ["get", "post", "put", "patch", "delete", "options"])
def test_nothing_at_this_address(client, method):
    response = getattr(client, method)("/api/no/such/thing")
    assert (response.status_code, response.json()) == (404, NOT_FOUND)
    assert response["Cache-Control"] == "no-store"


def test_a_viewers_phone_reads_and_may_not_record():
    phone = Phone("viewer")
    assert phone.pull().status_code == 200
    assert phone.post(LACKING, {"ids": []}).status_code == 200
    told(
        phone.push([]),
        403,
        "forbidden",
        "A viewer's phone may not record.",
        mend="Ask the owner to pair this phone with another role.",
    )


@pytest.mark.parametrize("path", [PUSH, LACKING, PAIR])
def test_an_unsafe_request_needs_our_own_header(path):
    phone = Phone()
    response = phone.client.post(path, {"records": [], "ids": []}, content_type="application/json")
    told(
        response,
        403,
        "forbidden",
        "This request does not come from the bench app.",
        "X-Misho",
        "Send the header X-Misho: 1.",
    )


@pytest.mark.parametrize("value", ["", "yes", "1e3", "-1", "99999"])
def test_a_header_that_is_no_number(value):
    response = Phone().post(LACKING, {"ids": []}, X_Misho=value)
    assert (response.status_code, response.json()["error"]["field"]) == (403, "X-Misho")


def test_an_app_too_old():
    phone = Phone()
    words = "The bench app on this phone is too old for the shed."
    told(phone.post(LACKING, {"ids": []}, X_Misho="0"), 426, "update_app", words, "X-Misho")
    told(phone.client.get(PULL, headers={"X-Misho": "0"}), 426, "update_app", words, "X-Misho")
    assert phone.post(LACKING, {"ids": []}, X_Misho="2").status_code == 200


def test_a_form_on_another_site_gets_nowhere():
    response = Phone().client.post(PUSH, {"records": "[]"})
    assert (response.status_code, response.json()["error"]["field"]) == (403, "X-Misho")


def test_the_wrong_method():
    phone = Phone()
    response = phone.client.get(PUSH)
    told(response, 405, "wrong_method", 'Method "GET" not allowed.')
    assert response["Allow"] == "POST"


def test_the_wrong_forms():
    phone = Phone()
    own = {"X-Misho": "1"}
    told(
        phone.client.post(PUSH, b"<a/>", content_type="text/xml", headers=own),
        415,
        "wrong_form",
        'Unsupported media type "text/xml" in request.',
        mend="Send application/json.",
    )
    told(
        phone.post(PUSH, b"{}", Content_Encoding="br"),
        415,
        "wrong_form",
        "This encoding is not read here.",
        mend="Send plain JSON, or gzip it.",
    )
    told(
        phone.client.get(PULL, headers={"Accept": "text/html"}),
        406,
        "wrong_form",
        "Could not satisfy the request Accept header.",
    )


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        (b"{", "The body is not JSON: Expecting property name enclosed in double quotes."),
        (b'{"records": [NaN]}', "The body is not JSON: it cannot be read."),
        (b'{"records": [1e999]}', "The body is not JSON: it cannot be read."),
        (b'{"records": [' + b"9" * 5000 + b"]}", "The body is not JSON: it cannot be read."),
        (b"[" * 100_000, "The body is not JSON: it cannot be read."),
        (b'{"records": "\xff"}', "The body is not JSON: it cannot be read."),
        (b'{"records": "\xed\xa0\x80"}', "The body is not JSON: it cannot be read."),
    ],
)
def test_a_body_that_is_not_json(raw, message):
    told(Phone().post(PUSH, raw), 400, "bad_request", message, mend="Send one JSON object in UTF-8.")


@pytest.mark.parametrize(
    ("path", "body", "message", "field"),
    [
        (PUSH, [], "The body is not an object.", ""),
        (PUSH, {}, "records is not a list.", "records"),
        (PUSH, {"records": {}}, "records is not a list.", "records"),
        (LACKING, {"ids": "x"}, "ids is not a list.", "ids"),
        (LACKING, {"ids": ["x"]}, "ids[0] is not a UUID.", "ids[0]"),
        (LACKING, {"ids": ["0196f5c0-0000-7000-8000-000000000001", None]}, "ids[1] is not a UUID.", "ids[1]"),
        (LACKING, {"ids": ["0196f5c0000070008000000000000001"]}, "ids[0] is not a UUID.", "ids[0]"),
        (PAIR, [], "The body is not an object.", ""),
        (PAIR, {}, "code is not a text of 1 to 20 characters.", "code"),
        (PAIR, {"code": 7}, "code is not a text of 1 to 20 characters.", "code"),
        (PAIR, {"code": "short"}, "This is not a pairing code.", "code"),
        (PAIR, {"code": "2345-6789", "name": []}, "name is not a text of 1 to 60 characters.", "name"),
        (PAIR, {"code": " "}, "code is not a text of 1 to 20 characters.", "code"),
    ],
)
def test_a_malformed_body_names_the_field(path, body, message, field):
    told(Phone().post(path, body), 400, "bad_value", message, field)


@pytest.mark.parametrize(
    ("query", "message", "field"),
    [
        ({"since": "x"}, "since is not a cursor.", "since"),
        ({"since": "a:-1"}, "since is not a cursor.", "since"),
        ({"since": ":5"}, "since is not a cursor.", "since"),
        ({"since": "a:" + "9" * 30}, "since is not a cursor.", "since"),
        ({"limit": "0"}, "limit is not a whole number from 1 to 5000.", "limit"),
        ({"limit": "5001"}, "limit is not a whole number from 1 to 5000.", "limit"),
        ({"limit": "²"}, "limit is not a whole number from 1 to 5000.", "limit"),
    ],
)
def test_a_malformed_query_names_the_field(query, message, field):
    told(Phone().client.get(PULL, query), 400, "bad_value", message, field)


def test_1501_records_are_too_many():
    told(
        Phone().push([{}] * 1501),
        413,
        "too_large",
        "1501 records are too many at once.",
        "records",
        "Send at most 1500 at once.",
    )


def test_2001_ids_are_too_many():
    told(
        Phone().post(LACKING, {"ids": ["x"] * 2001}),
        413,
        "too_large",
        "2001 ids are too many at once.",
        "ids",
    )


class TestSizes:
    message = "The body passes 2048 KB."

    def test_a_body_past_the_bound(self):
        body = {"records": [], "pad": "x" * (2 * 1024 * 1024)}
        told(Phone().post(PUSH, body), 413, "too_large", self.message, mend="Send fewer records at once.")

    def test_a_bomb_is_not_inflated_past_the_bound(self):
        packed = gzip.compress(b"[" + b" " * (200 * 1024 * 1024) + b"]", compresslevel=9)
        assert len(packed) < 300_000
        tracemalloc.start()
        try:
            with pytest.raises(TooLarge):
                inflate(packed)
            assert tracemalloc.get_traced_memory()[1] < 8 * 1024 * 1024
        finally:
            tracemalloc.stop()
        told(Phone().post(PUSH, packed, Content_Encoding="gzip"), 413, "too_large", self.message)

    @pytest.mark.parametrize(
        "packed",
        [b"", b"not gzip", gzip.compress(b"{}")[:-3], gzip.compress(b"{}") + b"more"],
        # Named, because gzip writes the time of day into its bytes and two workers must agree on the names.
        ids=["empty", "no gzip", "cut off", "with more"],
    )
    def test_a_packed_body_that_is_not_whole(self, packed):
        response = Phone().post(LACKING, packed or b"\x1f\x8b", Content_Encoding="gzip")
        told(response, 400, "bad_request", "The body is not whole gzip.")

    def test_just_within_the_bound(self):
        body = json.dumps({"ids": [], "pad": ""}).encode()
        full = body.replace(b'""', b'"' + b"x" * (2 * 1024 * 1024 - len(body)) + b'"')
        assert len(full) == 2 * 1024 * 1024
        assert Phone().post(LACKING, full).status_code == 200
        assert Phone().post(LACKING, gzip.compress(full), Content_Encoding="gzip").status_code == 200


class TestPairing:
    wrong = "No open pairing code is like this."

    def test_a_code_works_once(self):
        code = people.make_pairing_code("Ann", "helper")
        assert Phone(paired=False).pair(code).status_code == 200
        told(
            Phone(paired=False).pair(code),
            403,
            "wrong_code",
            self.wrong,
            "code",
            "Make a new code at the shed: each works once, for ten minutes.",
        )

    def test_a_code_too_old(self):
        code = people.make_pairing_code("Ann", "helper", now=timezone.now() - timedelta(minutes=10))
        told(Phone(paired=False).pair(code), 403, "wrong_code", self.wrong, "code")

    def test_guessing_is_slowed_down_and_kills_the_code(self):
        code = people.make_pairing_code("Ann", "helper")
        phone = Phone(paired=False)
        for _ in range(5):
            told(phone.pair("2222-2222"), 403, "wrong_code", self.wrong, "code")
        response = phone.pair("2222-2222")
        told(response, 429, "slow_down", "Too many wrong tries.")
        assert response["Retry-After"] in {"1", "2"}
        assert PairingCode.objects.get().tries == 5
        assert phone.pair(code).status_code == 429

    def test_the_answer_and_the_cookie(self):
        phone = Phone(paired=False)
        response = phone.pair(people.make_pairing_code("", "viewer"), name="Field phone")
        body = response.json()
        assert set(body) == {"device", "name", "role", "server_time", "epoch"}
        assert (body["name"], body["role"]) == ("Field phone", "viewer")
        assert body["epoch"] == phone.pull().json()["epoch"]
        cookie = response.cookies["misho_phone"]
        assert (cookie["httponly"], cookie["samesite"], cookie["secure"]) == (True, "Lax", "")
        assert (cookie["path"], cookie["max-age"]) == ("/api/", 34560000)

    def test_over_https_the_cookie_stays_on_https(self, settings):
        settings.SECURE = True
        response = Phone(paired=False).pair(people.make_pairing_code("Ann", "viewer"))
        assert response.cookies["misho_phone"]["secure"] is True

    def test_the_cookie_lives_on_while_the_phone_is_used(self):
        phone = Phone()
        assert "misho_phone" not in phone.pull().cookies
        phone.device.seen_at = timezone.now() - timedelta(days=2)
        phone.device.save()
        renewed = phone.pull().cookies["misho_phone"]
        assert renewed["max-age"] == 34560000
        assert "misho_phone" not in phone.pull().cookies


def test_a_fault_of_our_own_tells_nothing_of_its_inside(caplog):
    response = answer(KeyError("secret"), {})
    assert response.status_code == 500
    assert response.data == {
        "error": {
            "code": "server_fault",
            "message": "The shed failed at this.",
            "field": "",
            "mend": "Look at the server's own messages.",
        }
    }
    assert "secret" in caplog.text
