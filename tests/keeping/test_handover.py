"""Hand-over files: the same results as a push, and of a damaged one what could be read."""

import hashlib
import json
import uuid
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.utils import translation

from nursery import journal
from nursery.keeping import BadHandOver, handover
from nursery.models import JournalRecord, SoilCheck
from tests.factories import TreeFactory, record

PHONE = uuid.UUID("00000000-0000-4000-8000-000000000007")
PHONE_HASH = "a1ddf84de9344b14cacb10b163ffc04514c94d9c8fe0d5dee76bfa6af8e8f415"


def packed(records: list[Any], *, count: bool = False, **changes: Any) -> bytes:
    """A file as the phone writes it."""
    canonical = json.dumps(records, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    content = {"misho": "handover", "v": 1, "device": str(PHONE), "name": "Ada's phone"}
    if count:
        content["count"] = len(records)
    content |= {"records": records, "sha256": hashlib.sha256(canonical.encode()).hexdigest(), **changes}
    return json.dumps(content, ensure_ascii=False).encode()


@pytest.fixture
def forty(db: None) -> list[dict[str, Any]]:
    tree = TreeFactory()
    checks = [record("soil_check", {"state": "dry"}, tree=tree.id) for _ in range(39)]
    return [record("note", {"text": 'a "quote" and }, { – 遅い芽'}, tree=tree.id), *checks]


def refusal(data: bytes) -> BadHandOver:
    with pytest.raises(BadHandOver) as told:
        handover.read(data)
    return told.value


def test_a_whole_file_gives_the_records_and_the_phone(forty: list[dict[str, Any]]) -> None:
    found = handover.read(packed(forty))
    assert (found.records, found.device, found.name) == (forty, PHONE, "Ada's phone")


def test_taking_in_gives_the_results_of_a_push(forty: list[dict[str, Any]]) -> None:
    forty[5]["kind"] = "moon_phase"
    forty[6]["tree"] = str(uuid.UUID(int=9))
    journal.take_in(forty[:3])
    forty[2] = {**forty[2], "body": {"state": "wet"}}
    tally = handover.take(handover.read(packed(forty)))
    assert [r.outcome for r in tally.results[:8]] == [
        "duplicate",
        "duplicate",
        "set_aside",
        "stored",
        "stored",
        "set_aside",
        "set_aside",
        "stored",
    ]
    assert [tally.results[i].reason for i in (2, 5, 6)] == ["id_reused", "unknown_kind", "unknown_tree"]
    assert tally.lines()[0] == "35 stored, 2 known already, 3 set aside, 0 malformed."
    assert tally.lines()[1:] == [
        "Set aside: another record with this id and other content is here already. The shed shows both; keep"
        " the right one by a correction.",
        "Set aside: moon_phase is no kind of record that this server knows. Update the server; the record is"
        " kept and applied then.",
        "Set aside: the tree is not known here. Sync the phone that made the tree, or withdraw this record.",
    ]
    assert JournalRecord.objects.filter(device=PHONE).count() == 37
    again = handover.take(handover.read(packed(forty)))
    assert again.lines()[0] == "0 stored, 37 known already, 3 set aside, 0 malformed."


def test_a_malformed_record_holds_up_none_of_the_others(forty: list[dict[str, Any]]) -> None:
    forty[11]["hlc"] = "yesterday"
    forty[12] = 7  # type: ignore[call-overload]
    tally = handover.take(handover.read(packed(forty)))
    assert len(tally.results) == 38
    assert tally.refused == [
        (12, "hlc: the stamp is not 15 digits, a hyphen and 4 hex digits"),
        (13, "the record is not an object"),
    ]
    assert SoilCheck.objects.count() == 37


def test_more_records_than_one_push_takes(forty: list[dict[str, Any]]) -> None:
    tree = forty[0]["tree"]
    many = [record("soil_check", {"state": "moist"}, tree=tree) for _ in range(450)]
    assert handover.take(handover.read(packed(many))).lines() == [
        "450 stored, 0 known already, 0 set aside, 0 malformed."
    ]


def test_a_file_that_ends_early_tells_how_many_could_be_read(forty: list[dict[str, Any]]) -> None:
    data = packed(forty, count=True)
    cut = data.index(forty[12]["id"].encode())
    fault = refusal(data[: cut + 60])
    assert fault.message == "12 of 40 records could be read: the file ends early."
    assert fault.mend == "Export it again from the phone."
    assert (fault.readable, fault.total) == (12, 40)
    assert refusal(packed(forty)[: cut + 30]).message == "12 records could be read: the file ends early."
    assert refusal(packed(forty)[:-10]).message == "40 of 40 records could be read: the file ends early."


def test_every_cut_is_refused_and_no_record_is_counted_that_is_not_whole(
    forty: list[dict[str, Any]],
) -> None:
    data = packed(forty[:4])
    # Where each record ends: the brace of its body, which our packing writes last, and its own.
    decoder, at, ends = json.JSONDecoder(), data.decode().index('"records": [') + len('"records": ['), []
    text = data.decode()
    for _ in range(4):
        _, at = decoder.raw_decode(text, at)
        ends.append(at)
        at += 2
    for length in range(0, len(text) - 1, 3):
        whole = sum(end <= length for end in ends)
        assert refusal(text[:length].encode()).readable == whole


def test_damage_in_the_middle_loses_only_the_record_that_it_hit(forty: list[dict[str, Any]]) -> None:
    data = packed(forty, count=True)
    at = data.index(b'"kind"', data.index(forty[12]["id"].encode()))
    broken = data[:at] + b"\x00\x07" + data[at + 2 :]
    assert refusal(broken).message == "39 of 40 records could be read: it is damaged after record 12."
    found = handover.read(broken, readable=True)
    assert found.device == PHONE
    assert [r["id"] for r in found.records] == [r["id"] for n, r in enumerate(forty) if n != 12]


def test_a_changed_value_is_found_by_the_hash(forty: list[dict[str, Any]]) -> None:
    data = packed(forty).replace(b'"dry"', b'"wet"', 1)
    assert refusal(data).message == (
        "The file was changed on its way: 40 records can be read, but with another hash."
    )


def test_a_number_as_javascript_writes_it_is_no_damage() -> None:
    # ECMA-262, Number::toString: 1e-7, where Python writes 1e-07.
    text = '[{"a":1e-7}]'
    data = packed([], sha256=hashlib.sha256(text.encode()).hexdigest()).replace(b"[]", text.encode())
    assert handover.read(data).records == [{"a": 1e-7}]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "This is no hand-over file of Misho, or nothing of it could be read."),
        (b"tag;species", "This is no hand-over file of Misho, or nothing of it could be read."),
        (b'{"misho": "backup"}', "This is no hand-over file of Misho."),
        (b"[]", "This is no hand-over file of Misho."),
        (packed([], v=2), "The file has form 2, from a newer app; this shed reads form 1."),
        (b'{"misho": "handover", "v": 1, "records": {}}', "The file has no list of records."),
        (b"[" * 100_000, "This is no hand-over file of Misho, or nothing of it could be read."),
        (b" " * (20 * 1024 * 1024 + 1), "The file is longer than 20 MB: no phone's hand-over is."),
    ],
)
def test_other_files_are_refused(data: bytes, said: str) -> None:
    assert refusal(data).message == said


def test_the_command(forty: list[dict[str, Any]], tmp_path: Path, capsys: Any) -> None:
    path = tmp_path / "phone.json"
    data = packed(forty)
    path.write_bytes(data[:-40])
    with pytest.raises(CommandError, match=r"^40 of 40 records could be read: the file ends early\. Export"):
        call_command("hand_over", str(path))
    assert SoilCheck.objects.count() == 0
    call_command("hand_over", str(path), "--readable")
    assert capsys.readouterr().out == "40 stored, 0 known already, 0 set aside, 0 malformed.\n"
    path.write_bytes(data)
    call_command("hand_over", str(path))
    assert capsys.readouterr().out == "0 stored, 40 known already, 0 set aside, 0 malformed.\n"
    with pytest.raises(CommandError, match=r"none\.json cannot be read: No such file"):
        call_command("hand_over", str(tmp_path / "none.json"))


def test_a_file_letter_by_letter_as_the_phone_writes_it() -> None:
    # The phone hashes the records' own text, keys in its own order; sha256 by coreutils' sha256sum.
    records = '[{"id":"a","hlc":"b","body":{"text":"b\u00e4rk \u6728"}}]'
    data = (
        '{"misho":"handover","v":1,"device":"00000000-0000-4000-8000-000000000007","name":"Pocket phone",'
        f'"count":1,"records":{records},"sha256":"HASH"}}'
    )
    found = handover.read(data.replace("HASH", PHONE_HASH).encode())
    assert found.records == [{"id": "a", "hlc": "b", "body": {"text": "b\u00e4rk \u6728"}}]
    assert found.device == PHONE
    assert refusal(data.replace("HASH", PHONE_HASH[::-1]).encode()).readable == 1


def test_a_refusal_is_in_the_readers_language(forty: list[dict[str, Any]]) -> None:
    with translation.override("de"):
        fault = refusal(packed(forty)[:-10])
    assert fault.message == "Lesbar: 40 von 40 Einträgen; die Datei endet zu früh."
    assert fault.mend == "Auf dem Telefon noch einmal speichern."
