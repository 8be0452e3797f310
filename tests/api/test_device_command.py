"""Phones from the terminal."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from nursery.models import Device, PairingCode
from tests.api.phone import Phone

pytestmark = pytest.mark.django_db


def run(*words: str) -> str:
    out = StringIO()
    call_command("device", *words, stdout=out)
    return out.getvalue()


def test_add_prints_a_code_that_pairs_a_helpers_phone():
    told = run("add", "Ann's phone")
    code = told.splitlines()[0]
    assert told.splitlines()[1:] == [
        "Open the bench app on the phone (the address that `serve` prints, then /bench/) and type this",
        "code there within ten minutes. It works once, and makes a helper's phone called Ann's phone.",
    ]
    body = Phone(paired=False).pair(code).json()
    assert (body["name"], body["role"]) == ("Ann's phone", "helper")


def test_add_with_a_role():
    code = run("add", "Tablet", "--role", "viewer").splitlines()[0]
    assert Phone(paired=False).pair(code).json()["role"] == "viewer"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["add", " "], "Give the phone a name, by which it can be listed and revoked."),
        (["add", "x" * 61], "A name has 1 to 60 ordinary characters. Take another name."),
        (["add", "Ann", "--role", "king"], "invalid choice: 'king'"),
        (["revoke", "Bo"], "No phone in use is called Bo. `device list` shows their names."),
        ([], "the following arguments are required: does"),
    ],
)
def test_faults_are_told_in_a_sentence(words, told):
    with pytest.raises(CommandError) as fault:
        run(*words)
    assert told in str(fault.value)
    assert PairingCode.objects.count() == 0


def test_list_and_revoke():
    assert run("list") == "No phone is paired yet: `device add NAME` prints a code for one.\n"
    ann, bo = Phone("owner", "Ann"), Phone("viewer", "Bo")
    told = run("revoke", "Ann")
    assert told == (
        "Ann is shut out. What it has not handed over stays on it and can still be saved to a file.\n"
    )
    assert (ann.pull().status_code, bo.pull().status_code) == (401, 200)
    Device.objects.update(paired_at="2026-06-01T08:00Z", seen_at="2026-06-02T09:30Z")
    Device.objects.filter(name="Ann").update(revoked_at="2026-06-03T10:15Z")
    assert run("list").splitlines() == [
        "Bo\tviewer\tpaired 2026-06-01\tseen 2026-06-02 09:30",
        "Ann\towner\tpaired 2026-06-01\trevoked 2026-06-03 10:15",
    ]


def test_the_name_of_a_revoked_phone_can_be_given_again():
    Phone(name="Ann")
    run("revoke", "Ann")
    assert Phone(name="Ann").device.name == "Ann"
    run("revoke", "Ann")
    assert Device.objects.filter(revoked_at=None).count() == 0
