"""Printing tags from the shed: what can be chosen, what comes, who may."""

import re
from io import BytesIO

import pypdfium2
import pytest
from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext

from nursery import tagsheets
from nursery.journal import take_in
from nursery.models import Bench, Tree
from nursery.science.tags import make
from tests.factories import BenchFactory, SeedLotFactory, TreeFactory, record
from tests.shed import text, visitor

pytestmark = pytest.mark.django_db


def plant(bench: Bench, count: int) -> list[Tree]:
    """Trees K001N and on, put on the bench's places against the walk: the last stands first."""
    return [
        TreeFactory(
            tag=make("K", n + 1), bench=bench, row=(count - n - 1) // 2 + 1, place=(count - n - 1) % 2 + 1
        )
        for n in range(count)
    ]


def tags(response: HttpResponse) -> list[str]:
    """The tags of a PDF, page by page, in the order in which they were drawn."""
    assert response.status_code == 200, text(response)
    assert response["Content-Type"] == "application/pdf"
    with pypdfium2.PdfDocument(BytesIO(response.content)) as document:
        lines = [line for page in document for line in page.get_textpage().get_text_range().splitlines()]
    return [line for line in lines if re.fullmatch(r"K\d{3,4}\w", line)]


def ask(client: Client, what: str, **more: str) -> HttpResponse:
    return client.get("/tags/sheet.pdf", {"what": what, "size": "30x60", "paper": "a4", **more})


def test_a_bench_is_printed_as_it_is_walked() -> None:
    bench = BenchFactory(name="South bench", rows=2, places=2)
    plant(bench, 4)
    answer = ask(visitor("viewer"), f"bench:{bench.id}")
    # Row 1 holds numbers 4 and 3, row 2 holds 2 and 1 and is walked back.
    assert tags(answer) == [make("K", n) for n in (4, 3, 1, 2)]
    assert answer["Content-Disposition"] == 'attachment; filename="misho-tags-south-bench-30x60-a4.pdf"'
    assert "private" in answer["Cache-Control"]


def test_a_lot_by_tag_without_those_that_left_and_one_tree_alone() -> None:
    lot = SeedLotFactory(code="JBP-21")
    gone, *rest = [TreeFactory(tag=make("K", n), lot=lot) for n in (3, 2, 1)]
    TreeFactory(tag=make("K", 9))
    take_in([record("tree_left", {"how": "died"}, tree=gone.id)])
    client = visitor("helper")
    assert tags(ask(client, f"lot:{lot.id}")) == [make("K", 1), make("K", 2)]
    assert tags(ask(client, f"tree:{rest[0].id}", size="20x50", paper="letter")) == [make("K", 2)]


def test_a_part_is_printed_from_tag_to_tag() -> None:
    bench = BenchFactory(rows=2, places=2)
    plant(bench, 4)
    client, what = visitor("owner"), f"bench:{bench.id}"
    assert tags(ask(client, what, first=f" {make('K', 3).lower()}", last=make("K", 1))) == [
        make("K", 3),
        make("K", 1),
    ]
    missing = ask(client, what, first="K099X")
    assert missing.status_code == 400
    assert "From tag: no tree there has the tag K099X." in text(missing)
    turned = ask(client, what, first=make("K", 1), last=make("K", 4))
    assert turned.status_code == 400
    assert f"To tag: {make('K', 4)} stands before {make('K', 1)} there." in text(turned)


def test_more_than_one_file_holds_is_refused_and_parted(monkeypatch: pytest.MonkeyPatch) -> None:
    bench = BenchFactory(rows=2, places=2)
    plant(bench, 4)
    monkeypatch.setattr("frontend.forms.tags.MOST", 3)
    answer = ask(visitor("owner"), f"bench:{bench.id}")
    assert answer.status_code == 400
    parted = f"Print to {make('K', 1)} now, and from {make('K', 2)} next."
    assert f"4 tags are too many for one file of at most 3. {parted}" in text(answer)
    assert tagsheets.MOST == 1000


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("what", "bench:01900000-0000-7000-8000-00000000dead", "Tags of: choose one of the list."),
        ("what", "tree:1", "Tags of: choose one of the list."),
        ("what", "", "Tags of: fill this in."),
        ("size", "9x9", "Size of a tag: choose one of the list."),
        ("paper", "a3", "Paper: choose one of the list."),
        ("first", "x" * 17, "From tag: at most 16 characters."),
    ],
)
def test_what_cannot_be_printed_is_said_beside_its_field(field: str, value: str, said: str) -> None:
    bench = BenchFactory(rows=2, places=2)
    plant(bench, 1)
    given = {"what": f"bench:{bench.id}", field: value}
    answer = ask(visitor("owner"), **given)
    assert answer.status_code == 400
    assert said in text(answer)


def test_the_page_chooses_ahead_what_it_was_come_from_for() -> None:
    bench = BenchFactory(name="South bench", rows=2, places=2)
    [tree] = plant(bench, 1)
    client = visitor("viewer")
    page = client.get("/tags/", {"what": f"tree:{tree.id}"}).content.decode()
    assert f'<option value="tree:{tree.id}" selected>{tree.tag} alone</option>' in page
    assert f'<option value="bench:{bench.id}">South bench (1 tree)</option>' in page
    assert "Blades: cut on a mat, away from your fingers." in page
    assert f'href="/tags/?what=tree:{tree.id}"' in client.get(f"/trees/{tree.id}/").content.decode()
    assert f'href="/tags/?what=bench:{bench.id}"' in client.get(f"/benches/{bench.id}/").content.decode()


def test_a_nursery_without_trees_is_told_so() -> None:
    assert "No tree to print a tag for" in text(visitor("owner").get("/tags/"))


@pytest.mark.parametrize("path", ["/tags/", "/tags/sheet.pdf"])
def test_strangers_are_sent_to_sign_in(path: str) -> None:
    answer = Client().get(path)
    assert (answer.status_code, answer["Location"]) == (302, f"/sign-in/?next={path}")


def test_a_larger_bench_costs_no_more_queries() -> None:
    def cost(count: int) -> int:
        bench = BenchFactory(rows=10, places=2)
        plant(bench, count)
        with CaptureQueriesContext(
            connection,
        ) as queries:
            assert len(tags(ask(client, f"bench:{bench.id}"))) == count
        return len(queries)

    client = visitor("owner")
    assert cost(3) == cost(9)
