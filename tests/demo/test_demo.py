"""The invented nursery: the same for the same seed, large enough, and never mixed with real trees."""

from collections import Counter
from datetime import date
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from fixtures_demo.fill import fill
from fixtures_demo.sim import Story, tell
from nursery.errors import Refused
from nursery.importing import bring_in
from nursery.models import Bench, JournalRecord, Standing, Tree
from tests.browser.server import Server

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def default(django_db_setup: None, django_db_blocker: pytest.FixtureRequest) -> Story:
    """The default nursery's story (the species are read from the database)."""
    with django_db_blocker.unblock():  # type: ignore[attr-defined]
        return tell(1, 600, 10, 12, TODAY)


def last_words(story: Story) -> tuple[Counter[str], Counter[str]]:
    """How many trees are in each phase now, and how many left in each way."""
    phases: Counter[str] = Counter()
    left: Counter[str] = Counter()
    for own in story.by_tree:
        phase, gone = "", ""
        for record in own:
            body = record["body"]
            assert isinstance(body, dict)
            phase = str(body.get("phase") or (body["to"] if record["kind"] == "phase_change" else phase))
            gone = str(body["how"]) if record["kind"] == "tree_left" else gone
        if gone:
            left[gone] += 1
        elif phase:
            phases[phase] += 1
    return phases, left


def test_the_same_seed_tells_the_same_story() -> None:
    one, again, other = (tell(seed, 30, 3, 3, TODAY) for seed in (5, 5, 6))
    assert (one.common, one.by_tree, one.odd) == (again.common, again.by_tree, again.odd)
    assert one.by_tree != other.by_tree


def test_the_default_nursery_is_as_large_as_it_should_be(default: Story) -> None:
    phases, left = last_words(default)
    assert sum(phases.values()) >= 600
    assert set(phases) == {"seedling", "roots", "trunk", "branches", "refinement"}
    assert min(phases.values()) >= 20
    assert set(left) == {"died", "culled", "sold", "given"}
    assert sum(record["kind"] == "bench_set" for record in default.common) == 10
    assert 60_000 <= len(default) <= 100_000
    first = min(str(record["observed_at"]) for record in default.common)
    assert first[:10] == "2014-11-25"  # twelve years before


def test_no_record_is_of_today_or_later_and_no_id_comes_twice(default: Story) -> None:
    records = [r for own in [default.common, *default.by_tree, default.odd] for r in own]
    assert max(str(record["observed_at"]) for record in records) < "2026-11-25"
    assert len({record["id"] for record in records}) == len(records)


def test_seasons_and_erring_observers_show(default: Story) -> None:
    soil: dict[str, Counter[str]] = {"summer": Counter(), "winter": Counter()}
    wires: Counter[str] = Counter()
    backward = looks = 0
    order = ["loose", "snug", "marking", "biting", "sunk_in"]
    for own in default.by_tree:
        before = -1
        for record in own:
            body = record["body"]
            assert isinstance(body, dict)
            month = str(record["observed_at"])[5:7]
            if record["kind"] == "soil_check" and month in ("07", "01"):
                soil["summer" if month == "07" else "winter"][body["state"]] += 1
            if record["kind"] in ("wire_on", "wire_off"):
                before = -1
            if record["kind"] == "wire_look":
                state = order.index(body["state"])
                wires[body["state"]] += 1
                backward += state < before
                looks += 1
                before = state
    share = {when: counted["dry"] / counted.total() for when, counted in soil.items()}
    assert share["summer"] > 2 * share["winter"]
    # A wire never gets looser: such a pair of looks is an error of one of them.
    assert 0.01 < backward / looks < 0.15
    assert set(wires) == set(order)
    assert wires["sunk_in"] < wires["biting"] < wires["marking"]


def test_a_small_nursery_goes_in_whole() -> None:
    records = fill(seed=2, trees=24, years=4, benches=3, today=TODAY)
    assert JournalRecord.objects.count() == records
    assert Bench.objects.count() == 3
    fates = Counter(JournalRecord.objects.values_list("fate", flat=True))
    reasons = Counter(JournalRecord.objects.filter(fate="set_aside").values_list("reason", flat=True))
    assert reasons == {"bad_value": 2, "unknown_tree": 1, "unknown_bench": 1, "unknown_kind": 1}
    assert set(fates) <= {"applied", "set_aside", "withdrawn"}
    living = Tree.objects.filter(left_how="")
    assert living.count() >= 20
    assert Standing.objects.filter(tree__in=living).count() == living.count()
    assert set(Standing.objects.values_list("as_of", flat=True)) == {TODAY}


def test_no_two_trees_stand_in_one_place() -> None:
    fill(seed=3, trees=40, years=5, benches=4, today=TODAY)
    spots = list(Tree.objects.filter(left_how="").values_list("bench", "row", "place"))
    assert len(set(spots)) == len(spots)
    for bench, row, place in Tree.objects.filter(left_how="").values_list("bench", "row", "place"):
        size = Bench.objects.get(id=bench)
        assert 1 <= row <= size.rows
        assert 1 <= place <= size.places


def test_it_refuses_a_database_that_holds_anything_else() -> None:
    bring_in(b"tag,species\nK1,Chinese elm\n")
    with pytest.raises(Refused, match="holds a nursery already"):
        fill(seed=1, trees=20, years=2, today=TODAY)
    with pytest.raises(CommandError, match="holds a nursery already"):
        call_command("demo", "--trees", "20", "--years", "2", stdout=StringIO())
    assert Tree.objects.count() == 1


def test_numbers_that_cannot_be_are_refused() -> None:
    with pytest.raises(CommandError, match="--trees 10 to 20000"):
        call_command("demo", "--trees", "0", stdout=StringIO())


def test_a_fill_that_was_broken_off_leaves_nothing_behind() -> None:
    def stop(what: str, done: int, of: int) -> None:
        if what == "standings":
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        fill(seed=2, trees=24, years=2, benches=3, today=TODAY, progress=stop)
    assert not JournalRecord.objects.exists()
    assert fill(seed=2, trees=24, years=2, benches=3, today=TODAY) == JournalRecord.objects.count()


def test_it_fills_a_database_that_nobody_served_yet(tmp_path: Path) -> None:
    server = Server(tmp_path / "new")
    assert "records in" in server.manage("demo", "--trees", "10", "--years", "1")
    assert server.ask("select count(*) > 9 from nursery_tree") == [(1,)]
