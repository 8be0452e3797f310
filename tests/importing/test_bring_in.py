"""A grower's list comes in whole, or its faults are told by line, column and mend."""

from datetime import UTC, datetime

import pytest

from nursery.importing import Brought, ListRefused, bring_in
from nursery.models import Bench, Caliper, JournalRecord, Note, Site, Standing, Tree

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 6, 1, 9, tzinfo=UTC)


def bring(text: str, encoding: str = "utf-8") -> Brought:
    return bring_in(text.encode(encoding), now=NOW)


def faults(text: str) -> list[str]:
    with pytest.raises(ListRefused) as refused:
        bring(text)
    assert JournalRecord.objects.count() == 0
    return [str(fault) for fault in refused.value.faults]


def test_a_whole_list_comes_in() -> None:
    brought = bring(
        "Tag,Species,Sown year,Bench,Row,Place,Phase,Caliper (mm),Target height (mm)\n"
        "K1,Japanese black pine,2019,South rail,2,7,trunk,18.5,240\n"
        "M2,japanese-maple,2021,South rail,1,1,,,\n"
    )
    assert (brought.trees, brought.benches, brought.left_out) == (2, ["South rail"], [])
    pine, maple = Tree.objects.order_by("tag")
    assert (pine.species_id, pine.sown_year, pine.phase) == ("japanese-black-pine", 2019, "trunk")
    assert (pine.row, pine.place, pine.target_height_mm) == (2, 7, 240)
    assert (maple.species_id, maple.phase, maple.target_height_mm) == ("japanese-maple", "seedling", None)
    bench = Bench.objects.get()
    assert (bench.name, bench.rows, bench.places, pine.bench_id) == ("South rail", 2, 7, bench.id)
    assert Caliper.objects.get().mm == 18.5
    assert Standing.objects.count() == 2


@pytest.mark.parametrize(
    ("heads", "cells"),
    [
        ("tag;species;caliper", "K1;Japanese black pine;12,5"),
        ("\ufeffTAG;SPECIES;Calliper mm", "K1;JAPANESE BLACK PINE;12.5"),
        ("label\tkind\tdiameter (cm)", "K1\tpinus thunbergii\t1,25"),
        ("caliper_mm , latin name , Tree no", '12.5,Pinus thunbergii,"K1"'),
        ("sep=;\ntag;species;trunk", "K1;black pine;12,5 mm"),
    ],
)
def test_headings_separators_and_numbers_as_growers_write_them(heads: str, cells: str) -> None:
    bring(f"{heads}\r\n{cells}\r\n")
    assert Tree.objects.get().species_id == "japanese-black-pine"
    assert Tree.objects.get().tag == "K1"
    assert Caliper.objects.get().mm == 12.5


def test_every_bad_row_is_told_with_line_column_and_mend() -> None:
    told = faults(
        "tag,species,sown year,bench,row,place,phase,caliper,target height\n"
        "K1,Japanese blak pine,2019,A,1,1,trunk,10,240\n"
        ",Chinese elm,2019,A,1,2,trunk,10,240\n"
        "\n"
        "K3,maple,2027,A,1,x,wood,1200,5\n"
        'K4,Chinese elm,2019,A,,4,trunk,"10,5",240\n'
        "K1,Chinese elm,2019,A,1,2,trunk,10,240\n"
    )
    assert told == [
        'line 2, column 2 (species): "Japanese blak pine" is not a known species. '
        "Did you mean Japanese black pine?",
        "line 3, column 1 (tag): the tag is missing. Give each tree a tag.",
        'line 5, column 2 (species): "maple" can be several species. '
        "Say which: Japanese maple or trident maple.",
        "line 5, column 3 (sown year): 2027 is outside 1800 to 2026. Use a whole number from 1800 to 2026.",
        'line 5, column 6 (place): "x" is not a whole number. Use a whole number from 1 to 200.',
        'line 5, column 7 (phase): "wood" is not a phase. '
        "Use one of: sown, seedling, roots, trunk, branches, refinement.",
        "line 5, column 8 (caliper): 1200 mm is outside 0.1 to 1000 mm. Check the number and its unit.",
        "line 5, column 9 (target height): 5 mm is outside 10 to 10000 mm. Check the number and its unit.",
        'line 6, column 8 (caliper): "10,5" is not a number. Write the number with a point: 12.5.',
        "line 6, column 5 (row): the row is missing. Give bench, row and place, or leave all three empty.",
        'line 7, column 1 (tag): tag "K1" is also on line 2. Give each tree a tag of its own.',
        "line 7, column 6 (place): line 3 has the same place. Give another place.",
    ]


def test_a_list_comes_in_only_once() -> None:
    text = "tag,species,bench,row,place\nK1,Chinese elm,A,1,1\nK2,Chinese elm,A,1,2\n"
    bring(text)
    with pytest.raises(ListRefused) as refused:
        bring(text + "K3,Chinese elm,B,1,1\n")
    assert [str(fault) for fault in refused.value.faults] == [
        'line 2, column 1 (tag): tag "K1" is there already. Take this line out, or give another tag.',
        'line 3, column 1 (tag): tag "K2" is there already. Take this line out, or give another tag.',
    ]
    assert sorted(Tree.objects.values_list("tag", flat=True)) == ["K1", "K2"]


def test_a_second_list_uses_the_benches_that_are_there() -> None:
    bring("tag,species,bench,row,place\nK1,Chinese elm,Long bench,2,5\n")
    bring("tag,species,bench,row,place\nK2,Chinese elm,long bench,1,5\nK3,Chinese elm,New,1,1\n")
    assert sorted(Bench.objects.values_list("name", "rows", "places")) == [
        ("Long bench", 2, 5),
        ("New", 1, 1),
    ]
    assert Site.objects.count() == 1
    with pytest.raises(ListRefused) as refused:
        bring("tag,species,bench,row,place\nK4,Chinese elm,LONG BENCH,2,5\nK5,Chinese elm,Long bench,3,1\n")
    assert [str(fault) for fault in refused.value.faults] == [
        'line 2, column 5 (place): tree "K1" stands there. Give another place.',
        "line 3, column 5 (place): bench Long bench ends at row 2, place 5. "
        "Correct the place, or make the bench larger first.",
    ]


def test_a_note_of_two_lines_keeps_the_line_numbers_right() -> None:
    told = faults('tag,species,note\nK1,Chinese elm,"first\nsecond"\nK2,oak,\n')
    assert told[0].startswith('line 4, column 2 (species): "oak" is not a known species. Use one of: ')


def test_notes_come_in_and_strange_columns_are_told() -> None:
    brought = bring("tag,species,Remarks,Price\nK1,Chinese elm,from the ridge,40\n")
    assert brought.left_out == ["Price"]
    assert Note.objects.get().text == "from the ridge"


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "line 1: the list holds no trees. Give one line with headings, then one line a tree."),
        (
            b"tag,species\n",
            "line 1: the list holds no trees. Give one line with headings, then one line a tree.",
        ),
        (b"tag,species\nK\xe9,elm\n", 'line 2: the file is not UTF-8 text. Save it again as "CSV UTF-8".'),
        (
            "tag,species\n".encode("utf-16"),
            'line 1: the file is not UTF-8 text. Save it again as "CSV UTF-8".',
        ),
        (
            b"tag,price\nK1,3\n",
            "line 1: no column is headed species. Head a column with: species, kind, speciesname.",
        ),
        (
            b"tag,species,id\nK1,elm,2\n",
            "line 1, column 3 (id): it means the same as column 1 (tag). Keep one of the two.",
        ),
        (
            b"tag,species,note\nK1,Chinese elm,tall, thin\n",
            "line 2: it has 4 cells, but there are 3 headings. "
            'Put text that holds "," between double quotes.',
        ),
    ],
)
def test_a_file_that_is_no_list_is_told_so(data: bytes, told: str) -> None:
    with pytest.raises(ListRefused) as refused:
        bring_in(data, now=NOW)
    assert str(refused.value.faults[0]) == told
    assert JournalRecord.objects.count() == 0


def test_at_most_fifty_faults_are_told_and_all_are_counted() -> None:
    with pytest.raises(ListRefused) as refused:
        bring("tag,species\n" + "".join(f"K{n},oak\n" for n in range(61)))
    assert (len(refused.value.faults), refused.value.total) == (50, 61)
    assert refused.value.message == "61 things to mend (the first 50 are told); nothing was brought in."
