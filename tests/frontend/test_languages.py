"""Which language a page is in, and that no other one comes from a cache or a catalogue not compiled."""

import os
import re
from pathlib import Path

import pytest
from babel.messages.pofile import read_po
from django.core.checks import run_checks
from django.core.management import call_command
from django.test import Client

from frontend import catalogues
from tests.shed import visitor

pytestmark = pytest.mark.django_db


def language(client: Client, path: str = "/sign-in/", asked: str = "") -> str:
    answer = client.get(path, headers={"Accept-Language": asked} if asked else None)
    found = re.search(r'<html lang="([^"]+)">', answer.content.decode())
    assert found
    assert answer["Content-Language"] == found[1]
    return found[1]


@pytest.mark.parametrize(
    ("asked", "given"),
    [
        ("", "en"),
        ("de", "de"),
        ("de-CH,de;q=0.9,en;q=0.8", "de"),
        ("en-GB,de;q=0.5", "en"),
        ("fr,de;q=0.5", "de"),
        ("ja", "en"),
    ],
)
def test_a_page_is_in_the_language_that_the_browser_asks_for(client: Client, asked: str, given: str) -> None:
    assert language(client, asked=asked) == given


def test_the_switch_at_the_foot_changes_the_language_and_keeps_the_page() -> None:
    client = visitor("owner")
    page = client.get("/trees/?tag=K1&page=2").content.decode()
    form = re.search(r'<form method="post" action="/language/".*?</form>', page, re.S)
    assert form
    assert re.findall(r'<button name="language" value="(\w+)"[^>]*>(\w+)</button>', form[0]) == [
        ("en", "English"),
        ("de", "Deutsch"),
    ]
    assert 'name="next" value="/trees/?tag=K1&amp;page=2"' in form[0]
    assert re.findall(r'value="(\w+)"[^>]*aria-current="true"', form[0]) == ["en"]
    answer = client.post("/language/", {"language": "de", "next": "/trees/?tag=K1&page=2"})
    assert answer.status_code == 302
    assert answer["Location"] == "/trees/?tag=K1&page=2"
    # The choice outlasts what the browser asks for.
    assert language(client, "/trees/", asked="en") == "de"
    client.post("/language/", {"language": "en", "next": "/"})
    assert language(client, "/trees/", asked="de") == "en"


def test_the_switch_leads_to_no_other_site_and_to_no_other_language(client: Client) -> None:
    answer = client.post("/language/", {"language": "xx", "next": "https://elsewhere.example/"})
    assert answer["Location"] == "/"
    assert language(client) == "en"


@pytest.mark.parametrize("path", ["/sign-in/", "/", "/offline/", "/manifest.json", "/nowhere/"])
def test_a_cache_keeps_the_languages_apart(path: str) -> None:
    vary = {word.strip().lower() for word in visitor("viewer").get(path)["Vary"].split(",")}
    assert {"accept-language", "cookie"} <= vary


def waiting() -> list[str]:
    return [str(one.msg) for one in run_checks() if one.id == "frontend.W002"]


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of Misho with one catalogue of one text; gives its ``django.po``."""
    po = tmp_path / "frontend" / "locale" / "de" / "LC_MESSAGES" / "django.po"
    po.parent.mkdir(parents=True)
    head = 'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=utf-8\\n"\n\n'
    po.write_text(head + 'msgid "wire"\nmsgstr "Draht"\n', encoding="utf-8")
    monkeypatch.setattr(catalogues, "ROOT", tmp_path)
    monkeypatch.setattr(catalogues.stale, "__defaults__", (tmp_path,))
    return po


def test_catalogues_not_compiled_or_older_are_told_with_what_to_run(room: Path, tmp_path: Path) -> None:
    said = (
        "Not compiled: frontend/locale/de/LC_MESSAGES/django.po. "
        "Run `pip install -e .` or `python manage.py catalogues`"
    )
    assert waiting() == [said]
    [mo] = catalogues.compile_all(tmp_path)
    assert waiting() == []
    os.utime(mo, (1, 1))
    assert waiting() == [said]


def test_a_compiled_catalogue_is_what_gettext_reads(room: Path, tmp_path: Path) -> None:
    import gettext

    [mo] = catalogues.compile_all(tmp_path)
    with mo.open("rb") as file:
        assert gettext.GNUTranslations(file).gettext("wire") == "Draht"


def test_a_broken_catalogue_is_named_and_the_old_one_stays(room: Path, tmp_path: Path) -> None:
    [mo] = catalogues.compile_all(tmp_path)
    old = mo.read_bytes()
    room.write_text('msgid "wire"\nthis is no catalogue\n')
    with pytest.raises(catalogues.NotCompiled, match=re.escape(str(room))):
        catalogues.compile_all(tmp_path)
    assert mo.read_bytes() == old
    assert [path.name for path in mo.parent.iterdir() if path.suffix == ".mo"] == ["django.mo"]


def test_a_text_that_is_new_in_the_sources_waits_in_the_catalogue_and_a_gone_one_leaves(
    room: Path, tmp_path: Path
) -> None:
    from frontend.extracting import update

    page = tmp_path / "frontend" / "templates" / "page.html"
    page.parent.mkdir()
    page.write_text(
        '{% load i18n %}<p>{% translate "wire" %}</p>\n    {% blocktranslate count n=n %}{{ n }} look'
        "{% plural %}{{ n }} looks{% endblocktranslate %}\n"
    )
    (tmp_path / "frontend" / "forms.py").write_text('label = pgettext_lazy("of a tree", "Left")\n')
    with room.open("a", encoding="utf-8") as file:
        file.write('\nmsgid "gone"\nmsgstr "fort"\n')
    update(room, tmp_path)
    with room.open("rb") as file:
        kept = read_po(file, locale="de")
    texts = {(m.context, m.id if isinstance(m.id, str) else tuple(m.id)): m.string for m in kept if m.id}
    assert texts == {
        (None, "wire"): "Draht",
        ("of a tree", "Left"): "",
        (None, ("%(n)s look", "%(n)s looks")): ("", ""),
    }


def test_the_command_compiles_what_is_kept(capsys: pytest.CaptureFixture[str]) -> None:
    call_command("catalogues")
    assert "frontend/locale/de/LC_MESSAGES/django.mo" in capsys.readouterr().out
    assert catalogues.stale() == []
