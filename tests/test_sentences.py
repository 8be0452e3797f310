"""Sentences as data: how they are said, and that German has every one of them."""

import json
import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from babel.messages.catalog import Message
from babel.messages.pofile import read_po
from django.utils import translation

from fixtures_demo.fill import fill
from frontend.extracting import extracted
from nursery.models import Standing, WireState, untranslated
from nursery.rollup import roll_up_all
from nursery.rollup.compute import standings
from nursery.rollup.load import load
from nursery.sentences import Sentence, chance, kept, later, said, say, sentence, unkept
from tests.factories import TreeFactory, record, take
from tests.shed import tree as planted
from tests.shed import visitor

ROOT = Path(__file__).parent.parent
VECTORS = json.loads((Path(__file__).parent / "vectors" / "sentences.json").read_text())
CASES = [
    pytest.param(case, language, id=f"{language}-{number}")
    for number, case in enumerate(VECTORS["cases"])
    for language in ("en", "de")
]
TODAY = date(2026, 6, 10)


@pytest.mark.parametrize(("case", "language"), CASES)
def test_a_sentence_is_said_as_on_the_phone(case: dict[str, Any], language: str) -> None:
    today = date.fromisoformat(VECTORS["today"])
    with translation.override(language):
        found = say(case["sentence"], today=today, unit=case.get("unit", "mm"))
    assert found == case[language]


def test_a_sentence_without_values_is_its_text() -> None:
    assert sentence("wire put on") == "wire put on"
    assert sentence("dry on {day:on}", day="2026-06-09") == ["dry on {day:on}", {"day": "2026-06-09"}]
    with translation.override("de"):
        assert said("{state:word}", state="snug") == "sitzt"


@pytest.mark.parametrize(
    ("found", "text"),
    [
        ("the text is empty", "the text is empty"),
        (["{field} is missing", {"field": "mm"}], '["{field} is missing",{"field":"mm"}]'),
        ("", ""),
    ],
)
def test_a_sentence_is_kept_in_a_column_of_text(found: Sentence, text: str) -> None:
    assert kept(found) == text
    assert unkept(text) == found


@pytest.mark.parametrize(
    "text",
    ["4200 is outside 0.1 to 1000", '["it\'s"] is not a number', '["a", 7]', '["a"]', '["a", {"b": 1}, 2]'],
)
def test_a_text_of_an_older_version_stays_as_it_is(text: str) -> None:
    assert unkept(text) == text
    assert say(unkept(text)) == text


def test_a_text_said_later_follows_the_language() -> None:
    text = later("feel the soil")
    with translation.override("de"):
        assert str(text) == "den Boden fühlen"
    assert str(text) == "feel the soil"


@pytest.mark.parametrize(
    ("p", "percent"), [(0.0099, 0), (0.01, 1), (0.489, 48), (0.994, 99), (0.995, 100), (1.0, 100)]
)
def test_no_chance_is_certain(p: float, percent: int) -> None:
    assert chance(p) == percent


def test_words_of_closed_lists_are_kept_in_english_whoever_asks() -> None:
    untranslated.cache_clear()
    with translation.override("de"):
        assert str(WireState.SUNK_IN.label) == "eingewachsen"
        assert untranslated(WireState.SUNK_IN) == "sunk in"


# ---- the German catalogue ----


def german() -> dict[str, Message]:
    with (ROOT / "nursery/locale/de/LC_MESSAGES/django.po").open("rb") as file:
        return {str(one.id): one for one in read_po(file) if one.id}


def holes(text: str) -> set[str]:
    return set(re.findall(r"\{(\w+)", text))


def test_the_german_catalogue_is_that_of_the_sources_and_fills_the_same_holes() -> None:
    kept = german()
    asked = {str(one.id) for one in extracted("nursery") if one.id}
    assert sorted(asked ^ set(kept)) == []
    # Each form of a plural by itself.
    pairs = [
        (str(whole), text)
        for one in kept.values()
        for whole in (one.id if isinstance(one.id, tuple) else (one.id,))[-1:]
        for text in (one.string if isinstance(one.string, tuple) else (one.string,))
    ]
    assert [whole for whole, text in pairs if not text or holes(whole) != holes(str(text))] == []
    assert [whole for whole, text in pairs if '"' in str(text) or str(text) != str(text).strip()] == []


def test_the_phone_says_what_the_shed_says() -> None:
    """The phone's file of German sentences holds no other wording than the shed's."""
    text = (ROOT / "frontend/bench/words/german/shed.ts").read_text().replace(":\n    ", ": ")
    phone = {
        json.loads(key): json.loads(value)
        for key, value in re.findall(r'^  ("(?:[^"\\]|\\.)*"): ("(?:[^"\\]|\\.)*"),$', text, re.M)
    }
    assert len(phone) > 60
    kept = german()
    other = {key: value for key, value in phone.items() if key in kept and kept[key].string != value}
    assert other == {}


# ---- what the roll-up really says ----


@pytest.mark.django_db
def test_a_trees_page_tells_its_wire_in_german() -> None:
    client = visitor("viewer")
    tree = planted(
        "W1",
        wire_state="sunk_in",
        wire_on_since=date(2026, 4, 4),
        wire_look_by=date(2026, 6, 1),
        wire_why=["wire {seen:word}: see to it now", {"seen": "never looked at"}],
    )
    page = client.get(f"/trees/{tree.id}/", headers={"Accept-Language": "de"}).content.decode()
    assert "eingewachsen" in page
    assert "sunk in" not in page


def parts(kept: Sentence) -> Iterator[str]:
    """All texts of a sentence and of the sentences in it."""
    if isinstance(kept, str):
        yield kept
        return
    yield kept[0]
    for how, value in [
        (found[2], kept[1].get(found[1])) for found in re.finditer(r"\{(\w+):(word|capital|list)\}", kept[0])
    ]:
        for one in value if how == "list" else [value]:
            yield from parts(one)


def reasons(row: Standing) -> Iterator[Sentence]:
    yield row.wire_why
    yield from (one["why"] for one in row.due)
    for criterion in row.criteria:
        yield criterion["why"]
        yield from (proof["text"] for proof in criterion["evidence"])


@pytest.fixture
def nursery(db: None) -> list[Standing]:
    """Trees of every phase, looked at in every way, and never."""
    fill(seed=7, trees=40, years=8, benches=2, today=TODAY)
    for phase in ("seedling", "roots", "trunk", "branches", "refinement"):
        TreeFactory(phase=phase)
    tree = TreeFactory(phase="trunk")
    take(record("wire_look", {"state": "biting"}, tree=tree.id))
    roll_up_all(TODAY)
    return list(Standing.objects.all())


def test_every_sentence_of_standings_has_its_german(nursery: list[Standing]) -> None:
    kept = german()
    texts = {text for row in nursery for reason in reasons(row) for text in parts(reason) if text}
    assert len(texts) > 40
    assert sorted(text for text in texts if text not in kept) == []
    with translation.override("de"):
        shown = [say(reason, today=TODAY) for row in nursery for reason in reasons(row) if reason]
    # Words that German does not have: one of them left over is a sentence that was not translated.
    left = re.compile(r"\b(the|since|looked|roots|wire|soil|not|on|of|by|wanted)\b")
    assert [text for text in shown if left.search(text)] == []
    assert not [text for text in shown if "{" in text]


def test_a_standing_is_the_same_whoever_asks_for_it(nursery: list[Standing]) -> None:
    ids = [row.tree_id for row in nursery]
    with translation.override("de"):
        again = {row.tree_id: row for row in standings(load(ids, TODAY))}
    assert [list(reasons(row)) for row in nursery] == [list(reasons(again[row.tree_id])) for row in nursery]
