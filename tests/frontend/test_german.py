"""The shed in German: words, days and numbers, what forms take, and drawings that no comma may break."""

import re
from datetime import date, timedelta
from typing import Any
from uuid import UUID

import pytest
from django.test import Client
from django.utils import timezone, translation

from frontend.forms.base import DecimalField
from frontend.templatetags.shed import away, clock, day, inner, mm, pct, percent, spaced
from nursery.journal import take_in
from nursery.models import Contested, JournalRecord, Tree
from nursery.models.species import called
from nursery.reports.telling import kind_word, tell
from tests.factories import BenchFactory, TreeFactory, correction, record, take
from tests.frontend.test_every_word import tree as a_tree_with_everything
from tests.shed import text, visitor
from tests.shed import tree as standing_tree

german = translation.override("de")
SOME = UUID(int=7)
#: Attributes that hold places and lengths in a drawing.
COORDINATES = re.compile(
    r'\s(?:x|y|x1|x2|y1|y2|cx|cy|r|dx|dy|width|height|d|points|transform|viewBox|stroke-width)="([^"]*)"'
)
tree = a_tree_with_everything
#: Records whose kind and content once were the same words.
ONCE: list[tuple[str, dict[str, Any]]] = [
    ("firm_check", {"firm": True}),
    ("wire_off", {"scars": "light"}),
    ("tree_move", {}),
]


@pytest.mark.parametrize(
    ("way", "value", "english", "said"),
    [
        (day, date(2026, 6, 1), "1 Jun 2026", "1. Juni 2026"),
        (day, date(2026, 9, 12), "12 Sep 2026", "12. Sept. 2026"),
        (day, None, "–", "–"),
        (mm, 18.2, "18.2\u00a0mm", "18,2\u00a0mm"),
        (mm, 1250, "125\u00a0cm", "125\u00a0cm"),
        (pct, 0.914, "91%", "91\u00a0%"),
        (pct, 0.999, ">99%", ">99\u00a0%"),
        (percent, 1.2, "120%", "120\u00a0%"),
        (away, 1, "yesterday", "gestern"),
        (away, 3, "3 days ago", "vor 3 Tagen"),
        (away, -2, "in 2 days", "in 2 Tagen"),
        (away, 400, "13 months ago", "vor 13 Monaten"),
        (away, 800, "2 years ago", "vor 2 Jahren"),
        (spaced, 12345, "12\u202f345", "12\u202f345"),
        (spaced, 9999, "9999", "9999"),
        (inner, "Ready for Branches", "ready for branches", "Ready for Branches"),
    ],
)
def test_how_things_are_written(way: Any, value: Any, english: str, said: str) -> None:
    with translation.override("en"):
        assert str(way(value)) == english
    with german:
        assert str(way(value)) == said


def test_a_moment() -> None:
    at = timezone.now().replace(year=2026, month=3, day=5, hour=8, minute=15)
    with translation.override("en"):
        assert clock(at) == "5 Mar 2026, 08:15"
    with german:
        assert clock(at) == "5. März 2026, 08:15"


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize(
    ("typed", "taken"),
    [("18.2", 18.2), ("18,2", 18.2), (" 18 ", 18.0), ("-33,9", -33.9), ("\u22121.5", -1.5)],
)
def test_a_point_or_a_comma_is_taken_in_each_language(language: str, typed: str, taken: float) -> None:
    with translation.override(language):
        assert DecimalField().clean(typed) == taken


@pytest.mark.parametrize("typed", ["1.234,5", "1,2,3", "x", "inf", "nan"])
def test_what_is_no_number_is_refused(typed: str) -> None:
    from django.forms import ValidationError

    with pytest.raises(ValidationError):
        DecimalField().clean(typed)


def in_german(role: str = "owner") -> Client:
    client = visitor(role)
    client.cookies["django_language"] = "de"
    return client


@pytest.mark.django_db
@pytest.mark.parametrize("language", ["en", "de"])
def test_a_target_typed_with_a_comma_is_kept_and_shown_in_the_pages_own_way(language: str) -> None:
    one: Tree = TreeFactory(tag="Z1", phase="trunk")
    client = visitor("owner")
    client.cookies["django_language"] = language
    client.post(f"/trees/{one.pk}/target/", {"height_mm": "300", "base_mm": "50,5"})
    one.refresh_from_db()
    assert (one.target_height_mm, one.target_base_mm) == (300.0, 50.5)
    page = client.get(f"/trees/{one.pk}/").content.decode()
    shown = {"en": "50.5", "de": "50,5"}[language]
    assert re.search(rf'name="base_mm" value="{shown}"', page)


@pytest.mark.django_db
def test_a_wrong_number_is_told_in_german_with_a_comma() -> None:
    one: Tree = TreeFactory(tag="Z1", phase="branches")
    answer = in_german().post(
        f"/trees/{one.pk}/branches/", {"primaries": "3", "secondaries": "4", "internode_mm": "0"}
    )
    assert answer.status_code == 400
    assert "Internodium an den Spitzen: eine Zahl von 0,1 bis 1000, in Millimetern." in text(answer)


@pytest.mark.django_db
def test_today_in_german() -> None:
    answer = in_german().get("/ready/")
    assert "Kein Baum ist reif" in text(answer)
    assert "Abmelden" in text(answer)


@pytest.mark.django_db
def test_the_plan_of_a_whole_nursery_is_called_so_in_german() -> None:
    standing_tree(
        "A1",
        bench=BenchFactory(name="Süd"),
        due=[{"what": "soil", "why": ["dry on {day:on}", {"day": "2026-05-30"}]}],
    )
    shed = in_german()
    assert "Die ganze Gärtnerei, 20 Minuten" in text(shed.get("/walk/"))
    sent = text(shed.post("/walk/take/", {"minutes": 20}, follow=True))
    assert "Die ganze Gärtnerei, 1 Station: Jedes Telefon" in sent
    assert "The whole nursery" not in sent


@pytest.mark.parametrize(
    ("slug", "said"),
    [("japanese-black-pine", "Japanische Schwarzkiefer"), ("sea-buckthorn", "sea buckthorn"), ("", "")],
)
def test_a_species_in_a_record_has_its_german_name(slug: str, said: str) -> None:
    with german:
        assert called(slug) == said


@pytest.mark.django_db
def test_a_record_says_a_thing_once_in_german() -> None:
    with german:
        told = [f"{kind_word(kind)}: {tell(kind, body, {})}" for kind, body in ONCE]
    assert told == [
        "Gerüttelt: fester Stand",
        "Draht ab: aller, Drahtspuren: leicht",
        "Umgestellt: von den Tischen",
    ]


@pytest.mark.django_db
def test_records_set_aside_say_why_in_german() -> None:
    tree: Tree = TreeFactory(tag="Z1")
    first = record("caliper", {"mm": 12.5}, tree=tree.pk)
    bad = record("caliper", {"mm": 1200.5}, tree=tree.pk)
    roots = [{"deg": 10, "grade": 3, "level": True}, {"deg": 400, "grade": 3, "level": True}]
    take_in(
        [
            first,
            correction(first, {"mm": 0}),
            bad,
            record("wire_look", {"state": "tight"}, tree=tree.pk),
            record("root_survey", {"roots": roots}, tree=tree.pk),
            record("soil_check", {"state": "dry"}, tree=SOME),
        ]
    )
    client = in_german()
    page = text(client.get("/set-aside/"))
    assert "1200,5 liegt nicht zwischen 0,1 und 1000." in page
    assert "Eine Zahl von 0,1 bis 1000 mm angeben." in page
    assert "'tight' ist kein bekanntes Wort." in page
    assert "biting (beißt) oder sunk_in (eingewachsen) nehmen" in page
    assert "Wurzel 2: 400 liegt nicht zwischen 0 und 359,999." in page
    assert "Wurzel 2 von 2: deg 400, grade 3, level ja." in page
    assert "Der Baum ist hier nicht bekannt." in page
    assert "Er gilt von selbst, sobald der Eintrag kommt, der seinen Baum anlegt." in page
    own = text(client.get(f"/trees/{tree.pk}/"))
    assert "Zurückgelegt: 1200,5 liegt nicht zwischen 0,1 und 1000. Eine Zahl von 0,1 bis 1000 mm" in own
    assert "abgelehnt, 0 liegt nicht zwischen 0,1 und 1000" in own
    correct = f"/set-aside/{bad['id']}/correct/"
    assert "1200,5 liegt nicht zwischen 0,1 und 1000." in text(client.get(correct))
    refused = text(client.post(correct, {"value": "dick"}))
    assert "mm: 'dick' ist keine Zahl. Eine Zahl von 0,1 bis 1000 mm angeben." in refused


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "1200.5 is outside 0.1 to 1000. Field mm: 1200.5. Give a number from 0.1 to 1000 mm."),
        ("de", "1200,5 liegt nicht zwischen 0,1 und 1000."),
    ],
)
def test_why_follows_the_reader(language: str, said: str) -> None:
    take_in([record("caliper", {"mm": 1200.5}, tree=TreeFactory().pk)])
    client = visitor("owner")
    client.cookies["django_language"] = language
    assert said in " ".join(text(client.get("/set-aside/")).split())


@pytest.mark.django_db
def test_why_an_older_version_set_a_record_aside_is_shown_as_it_was_kept() -> None:
    bad = record("caliper", {"mm": 1200.5}, tree=TreeFactory().pk)
    take_in([bad])
    JournalRecord.objects.update(message="1200.5 is outside 0.1 to 1000", mend="Give a number.")
    page = text(in_german().get("/set-aside/"))
    assert "1200.5 is outside 0.1 to 1000." in page
    assert "Give a number." in page


@pytest.mark.django_db
def test_a_second_content_that_cannot_stand_says_why_in_german() -> None:
    first = record("caliper", {"mm": 12.5}, tree=TreeFactory().pk)
    take_in([first])
    take_in([{**first, "body": {"mm": 0}}])
    twice = Contested.objects.get()
    page = text(in_german().post(f"/set-aside/same-id/{twice.pk}/second/", follow=True))
    assert "0 liegt nicht zwischen 0,1 und 1000. Eine Zahl von 0,1 bis 1000 mm angeben." in page


def drawings(page: str) -> list[str]:
    return re.findall(r"<svg.*?</svg>", page, re.S)


def bare(page: str) -> list[list[str]]:
    """The coordinates of each drawing, as they stand in it."""
    return [COORDINATES.findall(drawing) for drawing in drawings(page)]


@pytest.mark.django_db
def test_each_drawing_of_a_tree_has_the_same_coordinates_in_german(tree: Tree) -> None:
    pages = []
    for language in ("en", "de"):
        client = visitor("owner")
        client.cookies["django_language"] = language
        pages.append(client.get(f"/trees/{tree.pk}/").content.decode())
    english, said = (bare(page) for page in pages)
    classes = " ".join(re.findall(r'<svg[^>]*class="([^"]*)"', pages[1]))
    # The trunk's chart, the rose, the wires, and the round of the survey's form.
    assert {"chart", "rose", "wires", "draw"} <= set(classes.split())
    assert english == said
    assert any("." in value for drawing in said for value in drawing)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "path", ["/ready/by/bench/readiness/", "/ready/by/bench/thickness/", "/wires/", "/held-back/"]
)
def test_strips_and_bars_have_the_same_coordinates_in_german(path: str) -> None:
    from tests.factories import BenchFactory
    from tests.shed import stand

    today = timezone.localdate()
    bench = BenchFactory(name="Ξύλο")
    for n in range(3):
        one = TreeFactory(bench=bench, row=1, place=n + 1)
        take(
            record("target_set", {"base_mm": 40}, tree=one.id),
            record("caliper", {"mm": 11.5 + n}, tree=one.id),
        )
        standing = {"gate": "trunk", "readiness": 0.333 + n / 7, "held_by": "at_target"}
        stand(one, **standing, wire_on_since=today, wire_look_by=today + timedelta(7 * n + 1))
    pages = []
    for language in ("en", "de"):
        client = visitor("owner")
        client.cookies["django_language"] = language
        pages.append(bare(client.get(path).content.decode()))
    assert pages[0] == pages[1]
    assert len(pages[0]) > 0


def test_scores_beside_decisions_have_the_same_coordinates_in_german() -> None:
    from django.template.loader import render_to_string

    from frontend.kept_chart import kept_chart
    from nursery.reports.kept_word import Decile

    deciles = [Decile(0.7, 0.8, 7, 5, 0.714, 0.29, 0.96)]
    pages = []
    for language in ("en", "de"):
        with translation.override(language):
            word = {"deciles": deciles, "trees": 7, "advanced": 5, "seasons": 1}
            page = render_to_string("shed/kept_word.html", {"word": word, "chart": kept_chart(deciles)})
            pages.append(bare(page))
    assert pages[0] == pages[1]
    assert any("." in value for drawing in pages[0] for value in drawing)
