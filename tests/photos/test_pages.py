"""A tree's pictures on the shed's page: in time, two compared, and for nobody outside."""

import hashlib
import re
import uuid
from typing import Any

import pytest
from django.test import Client
from django.utils import translation
from PIL import Image, ImageDraw

from nursery import journal, photos
from nursery.models import Picture, Tree
from nursery.reports.photos import compared, filling, shots
from nursery.science.silhouette import Density
from tests.factories import TreeFactory, correction, record, take, withdrawal
from tests.shed import visitor

from . import hostile as h

pytestmark = pytest.mark.django_db
FILE = h.saved(h.scene())


def said(tree: Tree, day: str, file: bytes = FILE, **more: Any) -> dict[str, Any]:
    """A photo's record."""
    body = {"photo": str(uuid.uuid4()), "sha256": hashlib.sha256(file).hexdigest(), "bytes": len(file)}
    body |= {"width": 64, "height": 48, **more}
    return record("photo", body, tree=tree.id, observed_at=f"{day}T09:00:00.000Z")


def came(record: dict[str, Any], file: bytes = FILE) -> None:
    photos.take_whole(file, uuid.UUID(record["body"]["photo"]), device=None)


@pytest.fixture
def tree() -> Tree:
    made: Tree = TreeFactory()
    return made


def test_pictures_stand_in_time_whichever_came_first(tree: Tree) -> None:
    early, late, waits = (
        said(tree, "2026-04-01"),
        said(tree, "2026-06-01", caption="leader"),
        said(tree, "2026-05-01"),
    )
    came(early)
    take(early, late, waits)
    came(late)
    rows = shots(tree.id).rows
    assert [(s.at.date().isoformat(), s.here, s.caption) for s in rows] == [
        ("2026-06-01", True, "leader"),
        ("2026-05-01", False, ""),
        ("2026-04-01", True, ""),
    ]
    assert rows[1].why == "Not here yet: it is still on the phone that took it."


def test_a_picture_that_came_before_its_tree_joins_it_later() -> None:
    id = uuid.uuid4()
    later = said(Tree(id=id), "2026-06-01")
    came(later)
    assert journal.take_in([later])[0].reason == "unknown_tree"
    assert Picture.objects.count() == 0
    take(record("tree_new", {"tag": "T1", "species": "japanese-black-pine"}, tree=id))
    assert [shot.here for shot in shots(id).rows] == [True]


def test_a_record_taken_back_or_put_right_changes_what_is_shown(tree: Tree) -> None:
    wrong, named = said(tree, "2026-04-01"), said(tree, "2026-06-01", caption="ledaer")
    take(wrong, named, withdrawal(wrong), correction(named, {**named["body"], "caption": "leader"}))
    assert [shot.caption for shot in shots(tree.id).rows] == ["leader"]


def test_a_refused_file_is_told_with_its_mend_and_the_record_stays(tree: Tree) -> None:
    bad = said(tree, "2026-06-01", h.SVG)
    take(bad)
    came(bad, h.SVG)
    [shot] = shots(tree.id).rows
    assert (shot.here, shot.why) == (
        False,
        "This file is no JPEG, PNG or WebP picture. Take the picture again, or delete it on the phone.",
    )
    with translation.override("de"):
        [shot] = shots(tree.id).rows
    assert shot.why.startswith("Diese Datei ist kein Bild in JPEG, PNG oder WebP. Das Bild noch einmal")


def test_two_are_compared_the_older_first(tree: Tree) -> None:
    made = [said(tree, f"2026-0{month}-01") for month in (4, 5, 6)]
    take(*made)
    assert compared(shots(tree.id).shown, "", "") is None
    for one in made:
        came(one)
    ids = [uuid.UUID(one["body"]["photo"]) for one in made]

    def pair(before: str, after: str) -> list[int]:
        found = compared(shots(tree.id).shown, before, after)
        return [ids.index(shot.photo) for shot in found or ()]

    assert pair("", "") == [0, 2]
    assert pair(str(ids[1]), "") == [1, 2]
    assert pair(str(ids[2]), str(ids[0])) == [0, 2]
    assert pair("nonsense", str(ids[1])) == [0, 1]


def before_a_wall(filled: int, size: tuple[int, int] = (600, 800)) -> bytes:
    """A crown of twigs, of which so many rows are filled, before a plain light wall."""
    picture = Image.new("L", size, 215)
    pen = ImageDraw.Draw(picture)
    for twig in range(0, 400, 16):
        pen.line((300, 700, 100 + twig, 150 + abs(200 - twig) // 2), fill=45, width=3)
    pen.rectangle((140, 200, 460, 200 + filled), fill=45)
    return h.saved(picture.convert("RGB"))


def test_the_page_says_whether_the_silhouette_grew_denser(tree: Tree) -> None:
    made = {day: before_a_wall(filled) for day, filled in (("2026-04-01", 1), ("2026-06-01", 260))}
    rows = [said(tree, day, file) for day, file in made.items()]
    take(*rows)
    for row, file in zip(rows, made.values(), strict=True):
        came(row, file)
    visit = visitor("viewer")
    html = visit.get(f"/trees/{tree.id}/").content.decode()
    [told] = re.findall(r"The silhouette is denser in the later picture: ([^<]*)<", html)
    later, earlier, error = map(float, re.findall(r"\d\.\d+", told))
    assert 1.2 < earlier < later - 0.1 < 1.9
    assert 0 < error < 0.15
    plain = said(tree, "2026-07-01")
    take(plain)
    came(plain)
    html = visit.get(f"/trees/{tree.id}/").content.decode()
    assert "can&#x27;t be told from the picture of 1 July: no tree stands out in it" in html
    assert "Take it whole, before a plain wall" in html


@pytest.mark.parametrize(
    ("later", "words"),
    [
        (1.62, "The silhouette is denser in the later picture: 1.62 after 1.50, give or take 0.03,"),
        (1.53, "The silhouettes are equally dense, as far as the pictures tell: 1.53 after 1.50,"),
        (1.41, "The silhouette is more open in the later picture: 1.41 after 1.50,"),
    ],
)
def test_a_small_change_of_the_silhouette_is_none(tree: Tree, later: float, words: str) -> None:
    made = [said(tree, f"2026-0{month}-01") for month in (4, 6)]
    take(*made)
    for one in made:
        came(one)
    pair = compared(shots(tree.id).shown, "", "")
    assert pair
    first, last = pair
    both = {first.photo: Density(1.5, 0.02), last.photo: Density(later, 0.02)}
    assert filling(pair, both).startswith(words)
    assert filling(pair, {first.photo: both[first.photo]}) == ""


def test_any_number_of_pictures_costs_three_queries(tree: Tree, django_assert_num_queries: Any) -> None:
    for n in range(1, 4):
        one = said(tree, f"2026-04-0{n}")
        take(one)
        came(one)
        with django_assert_num_queries(3):
            assert len(shots(tree.id).rows) == n


def test_the_tree_s_page_shows_them_with_a_slider_and_no_inline_script(tree: Tree) -> None:
    made = [said(tree, f"2026-0{month}-01", caption=f"month {month}") for month in (4, 6)]
    take(*made)
    for one in made:
        came(one)
    html = visitor("viewer").get(f"/trees/{tree.id}/").content.decode()
    first, last = (one["body"]["photo"] for one in made)
    assert html.index(f"/photos/{last}/small.jpg") < html.index(f"/photos/{first}/small.jpg")
    assert '<input id="slide" type="range" min="0" max="100"' in html
    assert "How much of 1 Jun 2026 is laid over 1 Apr 2026" in html
    assert "style=" not in html[html.index('id="photos"') : html.index('id="records"')]


@pytest.mark.parametrize(("role", "status"), [("owner", 200), ("helper", 200), ("viewer", 200), ("", 302)])
def test_only_signed_in_people_fetch_them(tree: Tree, role: str, status: int) -> None:
    one = said(tree, "2026-06-01")
    take(one)
    came(one)
    browser = visitor(role)
    for path in (f"/photos/{one['body']['photo']}.jpg", f"/photos/{one['body']['photo']}/small.jpg"):
        answer = browser.get(path)
        assert answer.status_code == status
        if status == 200:
            assert answer["Content-Type"] == "image/jpeg"
            assert answer["Cache-Control"] == "private, no-cache"
            assert answer["X-Content-Type-Options"] == "nosniff"
            again = browser.get(path, headers={"If-None-Match": answer["ETag"]})
            assert (again.status_code, again.content) == (304, b"")


def test_a_stranger_with_the_right_etag_gets_nothing(tree: Tree) -> None:
    one = said(tree, "2026-06-01")
    take(one)
    came(one)
    path = f"/photos/{one['body']['photo']}.jpg"
    etag = visitor("owner").get(path)["ETag"]
    assert Client().get(path, headers={"If-None-Match": etag}).status_code == 302


@pytest.mark.parametrize("path", ["/photos/{}.jpg", "/photos/{}/small.jpg", "/photos/../{}.jpg"])
def test_what_is_not_there_is_not_found(path: str) -> None:
    assert visitor("owner").get(path.format(uuid.UUID(int=5))).status_code == 404
