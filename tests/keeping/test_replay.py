"""Yesterday's backup restored: what phones had acknowledged since comes back from the phones."""

import uuid
from pathlib import Path
from typing import Any

import pytest

from nursery import journal, keeping
from nursery.models import Device, FeedHead, JournalRecord
from tests.api.phone import LACKING, Phone
from tests.factories import record

from .conftest import TODAY, Nursery


class HoldingPhone(Phone):
    """A phone that keeps what was acknowledged, and offers again what the shed lacks, as ours does."""

    def __init__(self, name: str) -> None:
        super().__init__(name=name)
        self.held: dict[str, Any] = {}
        self.cursor = ""
        self.sync([])

    def sync(self, records: list[Any]) -> None:
        self.held |= {sent["id"]: sent for sent in records}
        if records:
            # Set aside is an acknowledgement too: the tree may come back by another phone, later.
            assert len(self.push(records).json()["results"]) == len(records)
        page = self.pull(self.cursor)
        if page.status_code == 409:
            assert page.json()["error"]["code"] == "epoch_changed"
            self.cursor = ""
            lacking = self.post(LACKING, {"ids": list(self.held)}).json()["lacking"]
            return self.sync([self.held[id] for id in lacking])
        body = page.json()
        assert body["has_more"] is False
        self.cursor = f"{body['epoch']}:{body['seq']}"


def test_three_phones_bring_back_all_that_was_acknowledged_since(nursery: Nursery, tmp_path: Path) -> None:
    trees = [tree.id for tree in nursery.trees]
    phones = [HoldingPhone(f"phone {n}") for n in range(3)]
    for phone in phones:
        phone.sync([record("soil_check", {"state": "dry"}, tree=tree) for tree in trees])
    keeping.back_up(tmp_path / "yesterday.zip")

    # The day after: a new tree by one phone, looks at it by the others, a mended caliper.
    fresh = uuid.UUID(int=77)
    phones[0].sync([record("tree_new", {"tag": "N1", "species": "japanese-black-pine"}, tree=fresh)])
    phones[1].sync([record("wire_on", {"part": "trunk"}, tree=fresh) for _ in range(40)])
    wrong = record("caliper", {"mm": 900.0}, tree=fresh)
    phones[2].sync([wrong])
    mended = {"replaces": wrong["id"], "body": {"mm": 9.0}}
    phones[2].sync([record("correction", mended, tree=fresh)])
    journal.rebuild(TODAY)
    everything = set(JournalRecord.objects.values_list("id", flat=True))
    before = journal.fingerprint()

    keeping.restore(tmp_path / "yesterday.zip", replace=True, today=TODAY)
    assert len(everything - set(JournalRecord.objects.values_list("id", flat=True))) == 43

    for phone in reversed(phones):
        phone.sync([])
    assert everything - set(JournalRecord.objects.values_list("id", flat=True)) == set()
    journal.rebuild(TODAY)
    assert journal.fingerprint() == before
    assert {phone.cursor.split(":")[0] for phone in phones} == {FeedHead.objects.get().epoch}


def test_a_phone_that_the_backup_does_not_know_must_pair_again_and_hand_over_by_file(
    nursery: Nursery, backup: Path
) -> None:
    phone = HoldingPhone("paired today")
    phone.sync([record("note", {"text": "seen today"}, tree=nursery.trees[0].id)])
    keeping.restore(backup, replace=True)
    assert phone.pull().status_code == 401
    found = keeping.handover.HandOver(list(phone.held.values()), phone.device.id)
    assert keeping.handover.take(found).lines() == ["1 stored, 0 known already, 0 set aside, 0 malformed."]
    assert JournalRecord.objects.get(kind="note", body__text="seen today").device == phone.device.id
    assert not Device.objects.filter(name="paired today").exists()


@pytest.mark.parametrize("times", [1, 2])
def test_each_restore_raises_the_epoch(nursery: Nursery, backup: Path, times: int) -> None:
    seen = {FeedHead.objects.get().epoch}
    for _ in range(times):
        keeping.restore(backup, replace=True, keep_old=False)
        seen.add(FeedHead.objects.get().epoch)
    assert len(seen) == times + 1
