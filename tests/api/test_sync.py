"""Push, pull and lacking: each record once, none blocked, nothing missed between pages."""

import json
from datetime import UTC, datetime
from uuid import uuid4

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from nursery import feed, journal
from nursery.models import Contested, FeedHead, JournalRecord, SoilCheck
from tests.api.phone import LACKING, PULL, PUSH, Phone
from tests.factories import BenchFactory, TreeFactory, record, take

pytestmark = pytest.mark.django_db


def soil(tree, count, state="dry"):
    return [record("soil_check", {"state": state}, tree=tree.id) for _ in range(count)]


class TestPush:
    def test_the_whole_answer(self):
        tree = TreeFactory()
        phone = Phone()
        sent = record("soil_check", {"state": "dry"}, tree=tree.id)
        response = phone.push([sent])
        body = response.json()
        assert set(body) == {"results", "server_time", "epoch"}
        assert body["results"] == [{"id": sent["id"], "outcome": "stored"}]
        assert body["epoch"] == FeedHead.objects.get().epoch
        assert body["server_time"].endswith("Z")
        assert len(body["server_time"]) == 24
        kept = JournalRecord.objects.get(pk=sent["id"])
        assert (kept.device, kept.fate) == (phone.device.id, "applied")
        assert SoilCheck.objects.get().state == "dry"
        assert response["Cache-Control"] == "no-store"

    def test_the_same_push_twice_is_a_no_op(self):
        records = soil(TreeFactory(), 3)
        phone = Phone()
        first = [result["outcome"] for result in phone.push(records).json()["results"]]
        cursor = FeedHead.objects.get().seq
        again = [result["outcome"] for result in phone.push(records).json()["results"]]
        assert (first, again) == (["stored"] * 3, ["duplicate"] * 3)
        assert SoilCheck.objects.count() == 3
        assert FeedHead.objects.get().seq == cursor

    def test_it_vouches_only_for_the_site_that_was_there_when_it_came(self, monkeypatch):
        """A phone offers again what it handed to a site of another epoch."""
        phone, records = Phone(), soil(TreeFactory(), 1)
        FeedHead.objects.update(epoch="before")
        take_in = journal.take_in

        def restored_meanwhile(*args, **more):
            told = take_in(*args, **more)
            FeedHead.objects.update(epoch="after")
            return told

        monkeypatch.setattr(journal, "take_in", restored_meanwhile)
        assert phone.push(records).json()["epoch"] == "before"

    def test_a_packed_push(self):
        records = soil(TreeFactory(), 200)
        response = Phone().post_packed(PUSH, {"records": records})
        assert {result["outcome"] for result in response.json()["results"]} == {"stored"}
        assert SoilCheck.objects.count() == 200

    def test_nothing_to_push(self):
        assert Phone().push([]).json()["results"] == []

    def test_three_bad_ones_and_a_reused_id_among_500_block_none(self):
        tree = TreeFactory()
        records = soil(tree, 500)
        stranger = str(uuid4())
        records[17] |= {"kind": "moon_phase"}
        records[230] |= {"tree": stranger}
        records[231] |= {"kind": "caliper", "body": {"mm": 99_999}}
        records[499] |= {"id": records[3]["id"]}
        phone = Phone()
        results = [
            result
            for start in range(0, 500, 200)
            for result in phone.push(records[start : start + 200]).json()["results"]
        ]
        assert [result["id"] for result in results] == [sent["id"] for sent in records]
        aside = {
            at: (result["reason"], result["field"])
            for at, result in enumerate(results)
            if result["outcome"] == "set_aside"
        }
        assert aside == {
            17: ("unknown_kind", "kind"),
            230: ("unknown_tree", "tree"),
            231: ("bad_value", "body.mm"),
            499: ("id_reused", "id"),
        }
        assert all(results[at]["message"] and results[at]["mend"] for at in aside)
        assert sum(result["outcome"] == "stored" for result in results) == 496
        assert SoilCheck.objects.count() == 496
        assert JournalRecord.objects.filter(id__in=[sent["id"] for sent in records]).count() == 499
        assert Contested.objects.count() == 1

    @pytest.mark.parametrize(
        ("change", "field"),
        [
            ({"hlc": "now"}, "records[3].hlc"),
            ({"hlc": None}, "records[3].hlc"),
            ({"id": "x"}, "records[3].id"),
            ({"observed_at": "yesterday"}, "records[3].observed_at"),
            ({"tree": "K041W"}, "records[3].tree"),
            ({"device_seq": 2**80}, "records[3].device_seq"),
        ],
    )
    def test_a_malformed_record_is_named_and_nothing_of_the_body_stored(self, change, field):
        tree = TreeFactory()
        before = JournalRecord.objects.count()
        records = soil(tree, 5)
        records[3] |= change
        response = Phone().push(records)
        error = response.json()["error"]
        assert (response.status_code, error["code"], error["field"]) == (400, "bad_value", field)
        assert error["message"]
        assert error["mend"]
        assert JournalRecord.objects.count() == before

    @pytest.mark.parametrize("odd", [None, 7, "x", []])
    def test_a_record_that_is_no_object(self, odd):
        error = Phone().push([odd]).json()["error"]
        assert (error["code"], error["field"]) == ("bad_value", "records[0]")

    def test_text_that_no_database_keeps_costs_no_record(self):
        tree = TreeFactory()
        sent = record("note", {"text": "cut emoji \ud83c and NUL \x00."}, tree=tree.id)
        phone = Phone()
        assert phone.push([sent]).json()["results"][0]["outcome"] == "stored"
        assert phone.push([sent]).json()["results"][0]["outcome"] == "duplicate"
        assert JournalRecord.objects.get(pk=sent["id"]).body == {"text": "cut emoji \ufffd and NUL \ufffd."}

    @pytest.mark.parametrize("spread", [1, 60], ids=["one tree", "a tree each"])
    def test_as_many_queries_for_twice_the_records(self, spread):
        trees = [TreeFactory() for _ in range(spread)]
        phone = Phone()

        def queries(count, state):
            records = [
                record("soil_check", {"state": state}, tree=trees[at % spread].id) for at in range(count)
            ]
            with CaptureQueriesContext(connection) as caught:
                assert phone.push(records).status_code == 200
            return len(caught)

        queries(1, "moist")
        # Another state each time, so that each push changes the feed.
        assert queries(30, "wet") == queries(60, "dry")


class TestPull:
    def test_the_whole_answer_from_nothing(self):
        bench = BenchFactory()
        tree = TreeFactory(tag="K041W", bench=bench, row=2, place=3)
        phone = Phone("viewer", "Field phone")
        response = phone.pull()
        body = response.json()
        assert set(body) == {"epoch", "seq", "has_more", "server_time", "rows", "device"}
        assert body["device"] == {"id": str(phone.device.id), "name": "Field phone", "role": "viewer"}
        assert body["has_more"] is False
        assert body["seq"] == FeedHead.objects.get().seq
        row = {(topic, key): data for topic, key, data in body["rows"]}["tree", str(tree.id)]
        assert (row["tag"], row["row"], row["place"]) == ("K041W", 2, 3)
        assert response["Cache-Control"] == "no-store"

    def test_an_idle_pull_is_small_and_three_queries(self):
        TreeFactory()
        phone = Phone()
        first = phone.pull().json()
        with CaptureQueriesContext(connection) as caught:
            response = phone.pull(f"{first['epoch']}:{first['seq']}")
        assert response.json()["rows"] == []
        assert response.json()["seq"] == first["seq"]
        size = len(response.content) + sum(len(f"{name}: {value}\r\n") for name, value in response.items())
        assert size < 1000
        assert len(caught) == 3

    def test_answers_are_packed_for_those_who_accept_it(self):
        for _ in range(5):
            TreeFactory()
        phone = Phone()
        plain = phone.pull()
        packed = phone.client.get(PULL, headers={"Accept-Encoding": "gzip"})
        assert packed["Content-Encoding"] == "gzip"
        assert len(packed.content) < len(plain.content) / 2

    def test_another_epoch(self):
        phone = Phone()
        error = {
            "code": "epoch_changed",
            "message": "The shed's records were restored from a backup.",
            "field": "since",
            "mend": "Pull again from nothing, then offer the records that the phone still holds.",
        }
        response = phone.pull("0196f5c0-0000-7000-8000-000000000001:0")
        assert (response.status_code, response.json()) == (409, {"error": error})
        head = FeedHead.objects.get()
        response = phone.pull(f"{head.epoch}:{head.seq + 1}")
        assert (response.status_code, response.json()) == (409, {"error": error})
        assert phone.pull(f"{head.epoch}:{head.seq}").status_code == 200

    def test_pages_lose_nothing_while_rows_change_between_them(self):
        """After each page some rows are written anew, also ones already read: the mirror ends the same."""
        phone = Phone()
        truth = {("note", f"k{at}"): {"n": at} for at in range(50)}
        head = feed.lock_head()
        feed.publish(head, [(*key, data) for key, data in truth.items()])
        mirror, since, pages = {}, "", 0
        while True:
            body = phone.pull(since, limit=7).json()
            assert len(body["rows"]) <= 7
            mirror |= {(topic, key): data for topic, key, data in body["rows"]}
            since, pages = f"{body['epoch']}:{body['seq']}", pages + 1
            if not body["has_more"]:
                break
            if pages <= 6:
                changed = {("note", f"k{pages}"): {"n": -pages}, ("note", f"k{49 - pages}"): None}
                truth |= changed
                feed.publish(feed.lock_head(), [(*key, data) for key, data in changed.items()])
        assert {key: data for key, data in mirror.items() if key[0] == "note"} == truth
        assert pages > 7
        assert mirror["note", "k1"] == {"n": -1}
        assert mirror["note", "k48"] is None

    def test_what_a_push_changed_comes_with_the_next_pull_and_nothing_else(self):
        trees = [TreeFactory() for _ in range(3)]
        phone = Phone()
        first = phone.pull().json()
        phone.push([record("tree_tag", {"tag": "NEW1"}, tree=trees[1].id)])
        rows = phone.pull(f"{first['epoch']}:{first['seq']}").json()["rows"]
        assert [(topic, key, data["tag"]) for topic, key, data in rows] == [
            ("tree", str(trees[1].id), "NEW1")
        ]


class TestOlderApps:
    """Reasons as data came with the second way of speaking; apps of the first show what comes as it is."""

    def reasons(self, phone, **headers):
        rows = phone.pull(**headers).json()["rows"]
        return [data["st"]["due"][0]["why"] for topic, _, data in rows if topic == "tree"]

    def test_the_first_way_of_speaking_is_told_in_english(self):
        take(
            record(
                "soil_check", {"state": "dry"}, tree=TreeFactory().id, at=datetime(2025, 6, 1, 9, tzinfo=UTC)
            )
        )
        phone = Phone()
        for headers in ({}, {"X-Misho": "1"}, {"X-Misho": "1", "Accept-Language": "de"}):
            assert self.reasons(phone, headers=headers) == ["dry on 1 June 2025"]

    def test_the_second_is_given_what_a_sentence_is_made_of(self):
        take(
            record(
                "soil_check", {"state": "dry"}, tree=TreeFactory().id, at=datetime(2025, 6, 1, 9, tzinfo=UTC)
            )
        )
        found = self.reasons(Phone(), headers={"X-Misho": "2"})
        assert found == [["dry on {day:on}", {"day": "2025-06-01"}]]

    def test_what_an_older_server_left_is_passed_on_as_it_is(self):
        with transaction.atomic():
            feed.publish(feed.lock_head(), [("plan", "nursery", {"stops": [{"looks": [{"why": "look"}]}]})])
        for way in ("1", "2"):
            rows = Phone().pull(headers={"X-Misho": way}).json()["rows"]
            assert [data for topic, _, data in rows if topic == "plan"] == [
                {"stops": [{"looks": [{"why": "look"}]}]}
            ]


class TestWhySetAside:
    """It came as data with the third way of speaking; apps of the first two show what comes as it is."""

    ENGLISH = ("1200.5 is outside 0.1 to 1000", "Give a number from 0.1 to 1000 mm.")
    DATA = (
        ["{value} is outside {low} to {high}", {"value": 1200.5, "low": 0.1, "high": 1000}],
        ["Give a number from {low} to {high} {unit:word}.", {"low": 0.1, "high": 1000, "unit": "mm"}],
    )

    @pytest.mark.parametrize(
        ("way", "told"), [("1", ENGLISH), ("2", ENGLISH), ("3", DATA)], ids=["first", "second", "third"]
    )
    def test_a_push_and_the_feed_tell_it_as_the_app_speaks(self, way, told):
        bad = record("caliper", {"mm": 1200.5}, tree=TreeFactory().id)
        phone = Phone()
        german = {"Accept-Language": "de"}
        for _ in range(2):
            [result] = phone.push([bad], X_Misho=way, **german).json()["results"]
            assert result == {
                "id": bad["id"],
                "outcome": "set_aside",
                "reason": "bad_value",
                "field": "body.mm",
                "message": told[0],
                "mend": told[1],
            }
        rows = phone.pull(headers={"X-Misho": way, **german}).json()["rows"]
        assert [data for topic, _, data in rows if topic == "fate"] == [
            {"fate": "set_aside", "reason": "bad_value", "message": told[0], "mend": told[1]}
        ]

    @pytest.mark.parametrize("way", ["1", "2", "3"])
    def test_what_an_older_server_kept_is_passed_on_as_it_is(self, way):
        bad = record("caliper", {"mm": 1200.5}, tree=TreeFactory().id)
        take_in = journal.take_in([bad])
        assert take_in[0].outcome == "set_aside"
        JournalRecord.objects.filter(id=bad["id"]).update(message="old text", mend="Old mend.")
        with transaction.atomic():
            data = {"fate": "set_aside", "reason": "bad_value", "message": "old text", "mend": "Old mend."}
            feed.publish(feed.lock_head(), [("fate", bad["id"], data)])
        phone = Phone()
        [result] = phone.push([bad], X_Misho=way).json()["results"]
        assert (result["message"], result["mend"]) == ("old text", "Old mend.")
        rows = phone.pull(headers={"X-Misho": way}).json()["rows"]
        assert [row for topic, _, row in rows if topic == "fate"] == [data]

    def test_a_malformed_record_is_refused_in_the_growers_language(self):
        error = Phone().push([record("note", {"text": "x"}) | {"hlc": "x"}], Accept_Language="de")
        assert error.json()["error"]["message"] == (
            "der Stempel besteht nicht aus 15 Ziffern, einem Bindestrich und 4 hexadezimalen Ziffern"
        )


class TestLacking:
    def test_the_ids_that_the_server_does_not_hold(self):
        held = soil(TreeFactory(), 2)
        phone = Phone()
        phone.push(held)
        strange = [str(uuid4()), str(uuid4()).upper()]
        ids = [strange[0], held[0]["id"], strange[1], held[1]["id"].upper()]
        response = phone.post(LACKING, {"ids": ids})
        assert response.json() == {"lacking": [strange[0], strange[1]]}

    def test_two_thousand_at_once(self):
        ids = [str(uuid4()) for _ in range(2000)]
        assert Phone().post(LACKING, {"ids": ids}).json() == {"lacking": ids}

    def test_a_record_set_aside_is_held(self):
        aside = record("moon_phase", {"full": True})
        phone = Phone()
        assert phone.push([aside]).json()["results"][0]["reason"] == "unknown_kind"
        assert phone.post(LACKING, {"ids": [aside["id"]]}).json() == {"lacking": []}


def test_a_restored_backup_gets_its_records_back_from_the_phone():
    """What a phone does after 409: pull anew, ask what is lacking, offer that again."""
    records = soil(TreeFactory(), 4)
    phone = Phone()
    before = phone.push(records).json()
    SoilCheck.objects.filter(pk__in=[records[1]["id"], records[2]["id"]]).delete()
    JournalRecord.objects.filter(pk__in=[records[1]["id"], records[2]["id"]]).delete()
    FeedHead.objects.update(epoch=str(uuid4()))
    assert phone.pull(f"{before['epoch']}:1").status_code == 409
    assert phone.pull().json()["epoch"] != before["epoch"]
    lacking = phone.post(LACKING, {"ids": [sent["id"] for sent in records]}).json()["lacking"]
    assert lacking == [records[1]["id"], records[2]["id"]]
    results = phone.push(records).json()["results"]
    assert [result["outcome"] for result in results] == ["duplicate", "stored", "stored", "duplicate"]
    assert SoilCheck.objects.count() == 4


def test_json_is_answered_with_its_own_letters():
    phone = Phone(name="Föhre 木")
    assert "Föhre 木" in phone.pull().content.decode()
    assert json.loads(phone.pull().content)["device"]["name"] == "Föhre 木"
