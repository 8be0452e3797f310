"""The catalogues hold a translation of every text that the sources ask for, and one that fits it."""

import re
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import read_po

from frontend.catalogues import ROOT, sources
from frontend.extracting import extracted, translated

#: ``%(name)s``, ``{name}`` and ``{name:mm}``, and the roots' ``[n]``; the markup that a text carries.
MARKERS = re.compile(r"%\(\w+\)s|%%|\{\w+|\[n\]|\[gap\]|</?\w+[^>]*>")
PO = ROOT / "frontend/locale/de/LC_MESSAGES/django.po"


def catalogue(po: Path) -> Catalog:
    with po.open("rb") as file:
        return read_po(file, locale=po.parent.parent.name)


def key(text: Message) -> tuple[object, ...]:
    return (text.context, text.id if isinstance(text.id, str) else tuple(text.id))


def texts(found: Catalog) -> list[Message]:
    return [text for text in found if text.id]


def markers(said: str) -> list[str]:
    return sorted(MARKERS.findall(said))


def test_the_shed_has_a_german_catalogue() -> None:
    assert PO in sources()


def test_every_text_of_the_sources_is_in_the_catalogue_and_no_other() -> None:
    assert {key(text) for text in texts(catalogue(PO))} == {
        key(text) for text in texts(extracted("frontend"))
    }


def test_every_text_is_translated_in_each_of_its_forms() -> None:
    assert [text.id for text in texts(catalogue(PO)) if not translated(text)] == []


def test_plurals_have_as_many_forms_as_the_language() -> None:
    assert catalogue(PO).num_plurals == 2
    counted = [text for text in texts(catalogue(PO)) if isinstance(text.id, tuple | list)]
    assert len(counted) > 80
    assert [text.id for text in counted if len(text.string) != 2] == []


def test_a_translation_has_the_markers_and_the_markup_of_its_text() -> None:
    odd = []
    for text in texts(catalogue(PO)):
        ids = [text.id] if isinstance(text.id, str) else list(text.id)
        said = [text.string] if isinstance(text.string, str) else list(text.string)
        odd += [one for one, way in zip(ids, said, strict=True) if markers(one) != markers(way)]
    assert odd == []


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("%(n)s of {all:mm} <b>x</b> 5%%", ["%%", "%(n)s", "</b>", "<b>", "{all"]),
        ("[n] roots", ["[n]"]),
        ("100% [mm]", []),
    ],
)
def test_markers(text: str, found: list[str]) -> None:
    assert markers(text) == found
