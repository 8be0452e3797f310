"""Every word of the shed goes through a catalogue: each page is drawn with a catalogue made here, that puts
brackets round all it is asked for. What is left outside of them is data, or was forgotten."""

import html
import re
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone
from django.utils.safestring import SafeData, mark_safe
from django.utils.translation import _trans  # type: ignore[attr-defined]

from frontend.views import errors
from nursery.journal import take_in
from nursery.models import Bench, Site, Species, Tree, untranslated
from nursery.people import make_entry_link
from tests.factories import BenchFactory, DeviceFactory, TreeFactory, record, take
from tests.frontend.test_pages import PAGES
from tests.shed import stand, visitor

pytestmark = pytest.mark.django_db

#: Attributes that people read or hear.
READ = re.compile(
    r'\s(?:alt|title|aria-label|placeholder|data-(?:l|word|done|none|one|more|tip))="([^"]*)"', re.S
)
#: Not to be translated, and marked so; Latin names; the names of the languages.
MARKED = re.compile(r'<(i|pre|p|button)\b[^>]*\s(?:translate="no"|lang="\w+")[^>]*>.*?</\1>', re.S)
NODE = "\x00"
INNERMOST = re.compile(r"⟦[^⟦⟧]*⟧")
#: Names and signs that are the same everywhere, and tags.
SAME = re.compile(r"\b(?:Misho|UTC|mm|cm|[A-Z]{1,3}\d+\w?)\b")


@pytest.fixture
def brackets(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Each text asked of a catalogue comes back in brackets."""

    def put(text: str) -> str:
        made = f"⟦{text}⟧" if text else text
        return mark_safe(made) if isinstance(text, SafeData) else made

    def many(one: str, more: str, n: int) -> str:
        return put(one if n == 1 else more)

    ways: dict[str, Callable[..., str]] = {
        "gettext": put,
        "ngettext": many,
        "pgettext": lambda context, text: put(text),
        "npgettext": lambda context, one, more, n: many(one, more, n),
    }
    for name, way in ways.items():
        getattr(_trans, name)
        monkeypatch.setattr(_trans, name, way)
    # English words are kept by the process: what is asked for here must not be found by the next test.
    untranslated.cache_clear()
    yield
    untranslated.cache_clear()


#: Pages that show words of other packages (a tree's own page too): there only templates' words are sought.
TOLD_BY_OTHERS = {"/walk/", "/set-aside/", "/phones/trust/", "/tags/"}
TEMPLATES = "".join(path.read_text() for path in sorted(Path("frontend/templates").rglob("*.html")))


def unbracketed(text: str, data: list[str]) -> list[str]:
    """What has letters, is outside of all brackets, and is no data; a piece for each node of the page."""
    while INNERMOST.search(text):
        text = INNERMOST.sub(" ", text)
    for word in filter(None, data):
        text = re.sub(re.escape(word), " ", text, flags=re.I)
    left = SAME.sub(" ", text)
    return [" ".join(node.split()) for node in left.split(NODE) if re.search("[A-Za-z]", node)]


def forgotten(page: str, data: list[str]) -> list[str]:
    """Words of a page that went through no catalogue, with the piece of it that has them."""
    page = re.sub(r"<(script|style)\b.*?</\1>", " ", page, flags=re.S)
    page = MARKED.sub(" ", page)
    found = [piece for value in READ.findall(page) for piece in unbracketed(html.unescape(value), data)]
    return found + unbracketed(html.unescape(re.sub(r"<[^>]+>", NODE, page)), data)


def data_of(client: Client) -> list[str]:
    """Names that are stored: they are nobody's to translate."""
    species = [name for pair in Species.objects.values_list("name", "latin", "slug") for name in pair]
    sites = Site.objects.values_list("name", flat=True)
    return [*sorted(species, key=len, reverse=True), *sites]


@pytest.fixture
def ground() -> Bench:
    """Benches, trees in all troubles, phones and records set aside. Free text is Greek: it is data."""
    bench: Bench = BenchFactory(name="Ξύλο", rows=3, places=10)
    phone, today = DeviceFactory(name="Φως"), timezone.localdate()
    for n in range(4):
        one = TreeFactory(tag=f"K{n // 2}", bench=bench, row=1, place=n // 2 + 1)
        stand(
            one,
            gate="trunk",
            readiness=0.9 if n == 0 else 0.4,
            held_by="" if n == 0 else "roots_spread",
            wire_on_since=today,
            wire_look_by=today + timedelta(n - 1),
        )
        note = record("note", {"text": "μία"}, tree=one.id)
        late = record("note", {"text": "δύο"}, tree=one.id, at=timezone.now() + timedelta(hours=1))
        take_in([record("caliper", {"mm": 4200}, tree=one.id), note, late], device=phone.id, roll_up=False)
        take_in([{**note, "body": {"text": "άλλο"}}], device=phone.id, roll_up=False)
    return bench


@pytest.fixture
def tree() -> Tree:
    """A tree with all that a tree's page can show."""
    made: Tree = TreeFactory(tag="Z9", phase="trunk", sown_year=2015)
    now = timezone.now()

    def at(days: int, kind: str, body: dict[str, Any]) -> dict[str, Any]:
        return record(kind, body, tree=made.id, at=now - timedelta(days=days))

    roots = [{"deg": float(deg), "grade": 3, "level": deg < 200} for deg in (10, 60, 100, 220)]
    take(
        at(900, "caliper", {"mm": 12.5}),
        at(500, "caliper", {"mm": 18.2}),
        at(100, "caliper", {"mm": 24.0}),
        at(90, "target_set", {"height_mm": 300, "base_mm": 50.5, "style": "informal_upright"}),
        at(80, "root_survey", {"roots": roots, "defects": ["crossing"]}),
        at(70, "root_survey", {"roots": roots[:2]}),
        at(65, "branch_survey", {"primaries": 3, "secondaries": 5, "internode_mm": 7.5}),
        at(60, "wire_on", {"part": "trunk", "wire_mm": 2.5}),
        at(30, "wire_look", {"state": "snug"}),
        at(10, "wire_look", {"state": "marking"}),
    )
    return made


def assert_all_said(client: Client, path: str, wanted: int = 200) -> None:
    answer = client.get(path)
    assert answer.status_code == wanted, path
    name = getattr(answer.wsgi_request.user, "username", "")
    found = forgotten(answer.content.decode(), [*data_of(client), name])
    strict = path not in TOLD_BY_OTHERS and not re.match("/trees/.{36}/", path)
    assert [piece for piece in found if strict or f">{piece}<" in TEMPLATES] == [], path


def test_a_word_beside_the_catalogue_is_found() -> None:
    page = '<main><p>⟦Here are ⟦3 trees⟧⟧</p><img alt="⟦x⟧"><p title="Bar">Foo</p></main>'
    assert forgotten(page, []) == ["Bar", "Foo"]
    assert forgotten('<p>⟦one <b>two</b>⟧</p><pre translate="no">run it</pre>', []) == []


@pytest.mark.parametrize(
    "path", [*PAGES, "/backups/", "/phones/hand-over/", "/phones/trust/", "/tags/", "/site/"]
)
@pytest.mark.usefixtures("brackets", "ground")
def test_a_page_says_nothing_beside_its_catalogue(path: str) -> None:
    assert_all_said(visitor("owner"), path)


@pytest.mark.usefixtures("brackets")
@pytest.mark.parametrize(
    "path", ["/", "/benches/add/", "/people/password/", "/ready/", "/wires/", "/trees/?tag=q"]
)
def test_a_page_of_an_empty_nursery(path: str) -> None:
    assert_all_said(visitor("owner"), path)


@pytest.mark.usefixtures("brackets")
def test_a_bench_and_its_trees_page(ground: Bench) -> None:
    client = visitor("owner")
    for path in (
        f"/benches/{ground.pk}/",
        "/benches/add-trees/",
        "/ready/by/bench/readiness/",
        "/ready/by/lot/thickness/",
    ):
        assert_all_said(client, path)


@pytest.mark.usefixtures("brackets")
def test_a_trees_page(tree: Tree) -> None:
    assert_all_said(visitor("owner"), f"/trees/{tree.pk}/")


@pytest.mark.usefixtures("brackets")
def test_doors_and_errors() -> None:
    stranger = Client()
    for path, status in (
        ("/sign-in/", 200),
        ("/offline/", 200),
        ("/enter/nothing/", 410),
        ("/nowhere/", 404),
    ):
        assert_all_said(stranger, path, status)
    assert_all_said(stranger, f"/enter/{make_entry_link('helper')}/")
    assert_all_said(visitor("viewer"), "/site/", 403)
    assert forgotten(errors.broken(stranger.get("/sign-in/").wsgi_request).content.decode(), []) == []
