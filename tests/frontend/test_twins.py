"""What phone and shed must say alike: the words, the kinds, and the form of every record."""

import inspect
import io
import json
import re
from pathlib import Path
from typing import Any

import pytest
from babel.messages.extract import extract
from django.db.models import TextChoices

from frontend.templatetags.shed import pct
from nursery import journal, sentences
from nursery.apps import SPECIES_FILE
from nursery.journal import fields, intake, judge, kinds
from nursery.journal.kinds import CORRECTION, KINDS
from nursery.models import SEEN_DRY, JournalRecord, words
from nursery.reports import walk_words
from nursery.rollup import due, wired

VECTORS = Path(__file__).resolve().parents[1] / "vectors"
BENCH = Path(__file__).resolve().parents[2] / "frontend" / "bench"
RECORDS: list[dict[str, Any]] = json.loads((VECTORS / "records.json").read_text(encoding="utf-8"))["records"]
CHANCES: list[dict[str, Any]] = json.loads((VECTORS / "chance.json").read_text(encoding="utf-8"))

LISTS = {
    "PHASES": words.Phase,
    "WIRE_STATES": words.WireState,
    "SOILS": words.Soil,
    "BUDS": words.Buds,
    "WIRE_PARTS": words.WirePart,
    "SCARS": words.Scars,
    "LEAVINGS": words.Leaving,
    "STYLES": words.Style,
    "WORKS": words.Work,
    "ROLES": words.Role,
    "FATES": words.Fate,
}
#: Those that the phone shows to a grower.
READ_OUT = [choices for name, choices in LISTS.items() if name not in {"STYLES", "ROLES", "FATES"}]


def _source(name: str) -> str:
    return (BENCH / "model" / name).read_text(encoding="utf-8")


def _phone_lists() -> dict[str, list[str]]:
    found = re.findall(r"export const ([A-Z_]+) = \[(.*?)\] as const", _source("words.ts"), re.DOTALL)
    return {name: re.findall(r'"(\w+)"', inside) for name, inside in found}


def test_the_phone_knows_the_same_lists_in_the_same_order() -> None:
    assert _phone_lists() == {name: choices.values for name, choices in LISTS.items()}


def test_a_chance_is_written_alike_and_never_above_what_it_is() -> None:
    assert [pct(one["p"]) for one in CHANCES] == [one["shown"] for one in CHANCES]
    said = [sentences.say(["{p:chance}", {"p": sentences.chance(one["p"])}]) for one in CHANCES]
    assert said == [one["shown"] for one in CHANCES]


def _words_of(table: str) -> dict[str, str]:
    """A table of the phone's words; what follows "|" tells translators which of two meanings is meant."""
    inside = re.search(rf"const {table}\b.*?= \{{(.*?)\}};", _source("words.ts"), re.DOTALL)
    assert inside
    return dict(re.findall(r'"?([\w-]+)"?: word\("([^"|]+)', inside.group(1)))


@pytest.mark.parametrize("choices", READ_OUT, ids=lambda choices: choices.__name__)
def test_the_phone_reads_each_word_out_as_the_shed_does(choices: type[TextChoices]) -> None:
    labels = _words_of("LABELS")
    # By its words: the shed's own labels may wait for the language of a page.
    assert {word: labels[word] for word in choices.values} == {
        word: str(name) for word, name in choices.choices
    }


def test_the_phone_has_a_name_for_each_species_of_the_shed() -> None:
    species = json.loads(SPECIES_FILE.read_text(encoding="utf-8"))["species"]
    assert _words_of("SPECIES") == {one["slug"]: one["name"] for one in species}


def test_the_phone_can_make_every_kind_and_no_other() -> None:
    inside = re.search(r"export interface Bodies \{(.*?)^\}", _source("types.ts"), re.DOTALL | re.MULTILINE)
    assert inside
    made = set(re.findall(r"^  (\w+):", inside.group(1), re.MULTILINE))
    assert made == {name for name, kind in KINDS.items() if not kind.owner} | {CORRECTION}
    assert {record["kind"] for record in RECORDS} == made


@pytest.mark.django_db
def test_the_shed_takes_in_every_kind_as_the_phone_makes_it() -> None:
    results = journal.take_in(RECORDS)
    assert [(one.id, one.outcome, one.message) for one in results] == [
        (record["id"], "stored", "") for record in RECORDS
    ]
    fates = dict(JournalRecord.objects.values_list("id", "fate"))
    assert len(fates) == len(RECORDS)
    withdrawn = RECORDS[-1]["body"]["replaces"]
    assert {str(id): fate for id, fate in fates.items() if fate != "applied"} == {withdrawn: "withdrawn"}


@pytest.mark.django_db
def test_a_replay_of_the_phones_records_changes_nothing() -> None:
    journal.take_in(RECORDS)
    before = journal.fingerprint()
    assert {one.outcome for one in journal.take_in(RECORDS[::-1])} == {"duplicate"}
    assert journal.fingerprint() == before


def _kept(source: str) -> set[str]:
    """The texts that a source keeps as data, to be said by whoever reads them."""
    found = extract("python", io.BytesIO(source.encode()), keywords={"N_": None, "sentence": None})
    return {str(text) for _line, text, _comments, _context in found}


def test_the_phone_has_the_german_of_each_sentence_that_is_sent_to_it() -> None:
    sent = {SEEN_DRY, *wired.STRAY, *wired.DUE}
    why_set_aside = (fields, kinds, judge, intake)
    for part in (due, walk_words, sentences, wired.due_sentence, wired._seen, *why_set_aside):
        sent |= _kept(inspect.getsource(part))
    german = (BENCH / "words" / "german" / "shed.ts").read_text(encoding="utf-8")
    assert sent - set(re.findall(r'^  "([^"]+)":', german, re.MULTILINE)) == set()
