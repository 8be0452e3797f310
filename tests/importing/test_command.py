"""`manage.py import_trees`: what a grower reads after bringing a list in."""

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from nursery.models import Tree

pytestmark = pytest.mark.django_db


def run(path: Path) -> tuple[str, str]:
    out, err = StringIO(), StringIO()
    call_command("import_trees", str(path), stdout=out, stderr=err)
    return out.getvalue(), err.getvalue()


def test_it_says_what_came_in(tmp_path: Path) -> None:
    path = tmp_path / "trees.csv"
    path.write_bytes(b"\xef\xbb\xbftag;species;bench;row;place;price\r\nK1;Chinese elm;Well bench;1;1;30\r\n")
    assert run(path) == (
        "1 tree was brought in.\n"
        "New benches: Well bench.\n"
        "Columns that Misho does not know were left out: price.\n",
        "",
    )


def test_it_says_every_fault_and_brings_nothing_in(tmp_path: Path) -> None:
    path = tmp_path / "trees.csv"
    path.write_text("tag,species\nK1,Chinese elm\nK2,\n")
    err = StringIO()
    with pytest.raises(CommandError) as refused:
        call_command("import_trees", str(path), stdout=StringIO(), stderr=err)
    assert err.getvalue().startswith("line 3, column 2 (species): the species is missing. Use one of: ")
    assert str(refused.value) == "1 thing to mend; nothing was brought in."
    assert Tree.objects.count() == 0


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match=r"trees\.csv can't be read: No such file or directory\."):
        run(tmp_path / "trees.csv")
