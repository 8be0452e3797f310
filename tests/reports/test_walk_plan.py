"""What to look at on a walk, the command that says it, and the plan that phones carry."""

import json
from datetime import date, timedelta
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from nursery import feed, journal, plans
from nursery.models import Bench, FeedRow
from nursery.reports.walk_plan import Look, walk_plan
from nursery.sentences import say
from tests.factories import BenchFactory, record
from tests.shed import tree

pytestmark = pytest.mark.django_db
DAY = date(2026, 6, 10)
DRY = [{"what": "soil", "why": ["dry on {day:on}", {"day": "2026-05-30"}]}]
UNFELT = [{"what": "soil", "why": ["soil not looked at since {day:since}", {"day": "2026-05-03"}]}]


def reason(look: Look) -> str:
    return say(look.reason, today=DAY)


def criterion(name: str, p: float, on: str = "") -> dict[str, Any]:
    proof = [{"record": "r", "on": on, "text": ""}] if on else []
    return {"name": name, "p": p, "looked": bool(on), "why": "", "evidence": proof}


def trunk(*, buds: float, seen: str = "", target: float = 0.95) -> dict[str, Any]:
    """A standing before the branches gate at which only low buds and diameter are worth a look."""
    return {
        "gate": "branches",
        "readiness": round(target * 0.9 * 0.95 * buds, 4),
        "held_by": "low_buds",
        "criteria": [
            criterion("at_target", target, "2026-05-20"),
            criterion("taper", 0.9, "2026-05-20"),
            criterion("wire_done", 0.95),
            criterion("low_buds", buds, seen),
        ],
    }


def looks(plan: Any) -> list[tuple[str, list[str]]]:
    return [(stop.tag, [look.what for look in stop.looks]) for stop in plan.stops]


def test_must_sees_come_with_their_reasons_in_walking_order() -> None:
    south = BenchFactory(name="South", rows=2, places=5, walk_order=2)
    north = BenchFactory(name="North", rows=2, places=5, walk_order=1)
    tree("A1", bench=south, row=1, place=1, wire_look_by=DAY + timedelta(7))
    tree("A2", bench=south, row=1, place=2, wire_look_by=DAY + timedelta(8))
    tree("A3", bench=south, row=2, place=5, wire_look_by=DAY - timedelta(1), due=UNFELT)
    tree("A4", bench=south, row=2, place=2, due=DRY)
    tree("A5", bench=south, row=1, place=4, due=UNFELT)
    tree(
        "B1",
        bench=north,
        wire_state="biting",
        wire_look_by=DAY,
        last={"wire": ["biting", "2026-06-01"]},
        due=DRY,
    )
    plan = walk_plan(DAY, 20)
    assert [(name, [stop.tag for stop in stops]) for name, stops in plan.benches] == [
        ("North", ["B1"]),
        ("South", ["A1", "A3", "A4"]),
    ]
    assert [[(look.what, reason(look), look.must) for look in stop.looks] for stop in plan.stops] == [
        [
            ("wire", "wire seen biting on 1 June: have it off", True),
            ("soil", "soil dry on 30 May, no watering recorded since", True),
        ],
        [("wire", "wire: look by 17 June", True)],
        [("wire", "wire overdue since 9 June", True), ("soil", "soil not looked at since 3 May", False)],
        [("soil", "soil dry on 30 May, no watering recorded since", True)],
    ]
    # Two benches at 45 s, four stops at 3 s, three wires at 6 s and three soils at 3 s; on South a row at 3 s
    # and 4 places, then 3 places.
    assert plan.seconds == plan.needed == 90 + 12 + 18 + 9 + 7 + 3
    assert (plan.must, plan.unfelt, plan.takes) == (4, 1, 3)
    assert plan.care == ["Wire ends spring back: eye protection. Cut wire off, never unwind it."]


def test_then_what_tells_most_of_a_gate_for_its_time() -> None:
    bench = BenchFactory(rows=1, places=9)
    tree("A1", bench=bench, place=1, **trunk(buds=0.5))
    tree("A2", bench=bench, place=2, **trunk(buds=0.5, seen="2026-06-01"))  # looked at nine days ago
    tree("A3", bench=bench, place=3, **trunk(buds=0.5, target=0.02))  # far too thin: buds decide nothing
    tree("A4", bench=bench, place=4, **trunk(buds=0.6, seen="2026-03-01"), due=UNFELT)
    tree("A5", bench=bench, place=5)  # no gate ahead
    plan = walk_plan(DAY, 20)
    assert looks(plan) == [("A1", ["buds"]), ("A4", ["buds", "soil"])]
    first, second = (stop.looks[0] for stop in plan.stops)
    assert reason(first) == "low buds never looked at; ready for branches: 40% now, 68% if there are some"
    assert reason(second).startswith("low buds last looked at 1 March; ready for branches: 48% now")
    assert first.value == pytest.approx(0.2439, abs=2e-3)
    assert plan.seconds == 45 + (3 + 5) + 3 + (3 + 5 + 3)
    assert (plan.left, plan.left_must, plan.left_worth, plan.must) == ([], 0, 0, 0)


def test_young_trees_are_rocked_and_surveys_wait_for_a_long_walk() -> None:
    bench = BenchFactory(rows=1, places=9)
    seedling = [criterion("alive", 0.97, "2026-06-01"), criterion("season_old", 0.97), criterion("firm", 0.6)]
    roots = [criterion("roots_spread", 0.4), criterion("roots_level", 0.6), criterion("no_defect", 0.7)]
    tree("A1", bench=bench, place=1, gate="roots", readiness=0.56, criteria=seedling)
    tree("A2", bench=bench, place=2, gate="trunk", readiness=0.17, criteria=roots)
    assert looks(walk_plan(DAY, 2)) == [("A1", ["firm"])]
    plan = walk_plan(DAY, 4)
    assert looks(plan) == [("A1", ["firm"]), ("A2", ["roots"])]
    assert reason(plan.stops[1].looks[0]) == (
        "roots never surveyed; ready for the trunk: 17% now, 74% if they are good"
    )


def test_too_few_minutes_take_the_most_pressing_and_say_what_is_needed() -> None:
    bench = BenchFactory(rows=1, places=20)
    tree("A1", bench=bench, place=1, due=DRY)
    tree("A2", bench=bench, place=20, wire_look_by=DAY - timedelta(30))
    tree("A3", bench=bench, place=10, wire_state="sunk_in", wire_look_by=DAY - timedelta(2))
    tree("A4", bench=bench, place=11, **trunk(buds=0.5))
    plan = walk_plan(DAY, 1)
    assert [stop.tag for stop in plan.stops] == ["A3"]
    assert [(left.tag, left.must) for left in plan.left] == [("A2", True), ("A1", True), ("A4", False)]
    assert (plan.needed, plan.must_takes, plan.left_must, plan.left_worth) == (45 + 19 + 9 + 15, 2, 2, 1)


def test_a_walk_takes_as_many_queries_for_twice_the_trees() -> None:
    def cost(bench: Bench | None) -> int:
        with CaptureQueriesContext(connection) as asked:
            walk_plan(DAY, 20, bench and bench.pk)
        return len(asked)

    bench: Bench = BenchFactory(rows=2, places=30)
    for n in range(6):
        tree(f"A{n}", bench=bench, place=n + 1, due=DRY, **trunk(buds=0.5))
    before = cost(None), cost(bench)
    for n in range(6, 12):
        tree(f"A{n}", bench=BenchFactory(), place=n + 1, due=DRY, **trunk(buds=0.5))
    assert (cost(None), cost(bench)) == before == (4, 4)


def test_the_growers_own_numbers_count() -> None:
    bench = BenchFactory(rows=1, places=9)
    tree("A1", bench=bench, place=1, wire_look_by=DAY + timedelta(7), **trunk(buds=0.5))
    tree("A2", bench=bench, place=4, **trunk(buds=0.9))
    before = walk_plan(DAY, 20)
    assert (looks(before), before.seconds) == ([("A1", ["wire", "buds"]), ("A2", ["buds"])], 45 + 14 + 3 + 8)
    own = {"wire_ahead_days": 6, "look_buds": 12, "way_bench": 100, "way_place": 2, "least_gain": 0.2}
    journal.take_in([record("practice_set", {"name": name, "value": value}) for name, value in own.items()])
    after = walk_plan(DAY, 20)
    assert (looks(after), after.seconds) == ([("A1", ["buds"])], 100 + 3 + 12)


def test_one_bench_only_and_trees_on_no_bench_are_told() -> None:
    south, north = BenchFactory(name="South"), BenchFactory(name="North")
    tree("A1", bench=south, due=DRY)
    tree("A2", bench=north, due=DRY)
    tree("A3", due=DRY)
    one = walk_plan(DAY, 20, south.pk)
    assert (looks(one), one.name, one.homeless) == ([("A1", ["soil"])], "South", 0)
    assert walk_plan(DAY, 20).homeless == 1
    with pytest.raises(Bench.DoesNotExist):
        walk_plan(DAY, 20, one.stops[0].tree)


def test_the_command_says_the_walk() -> None:
    bench = BenchFactory(name="South", rows=1, places=9)
    tree("A1", bench=bench, place=3, due=DRY)
    tree("A2", bench=bench, place=4, **trunk(buds=0.5))
    said = StringIO()
    call_command("plan_walk", "--bench", "south", "--minutes", "5", "--date", "2026-06-10", stdout=said)
    assert said.getvalue().splitlines() == [
        "South: 2 stops in 1 of 5 minutes.",
        "",
        "South",
        "  A1       row 1, place 3     MUST feel the soil (soil dry on 30 May, no watering recorded since)",
        "  A2       row 1, place 4     look low down for buds (low buds never looked at; "
        "ready for branches: 40% now, 68% if there are some)",
    ]
    assert plans.on_phones() == []


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        (["--bench", "Moss"], "--bench: no bench is called 'Moss'. There are: South."),
        (["--minutes", "0"], "--minutes: give a whole number from 1 to 240."),
        (["--date", "June"], "--date: 'June' is no day. Write it as year-month-day, such as 2026-06-01."),
    ],
)
def test_the_command_refuses_in_a_sentence(words: list[str], complaint: str) -> None:
    BenchFactory(name="South")
    with pytest.raises(CommandError) as refused:
        call_command("plan_walk", *words)
    assert str(refused.value) == complaint


def test_phones_fetch_the_newest_plan_of_a_bench_and_lose_it_when_it_is_taken_off() -> None:
    bench = BenchFactory(name="South", rows=1, places=9)
    felt = {"soil": ["dry", "2026-05-30"]}
    first, second = (tree(tag, bench=bench, place=n, due=DRY, last=felt) for n, tag in ((1, "A1"), (2, "A2")))
    today = timezone.localdate()
    plans.take_to_phones(walk_plan(today, 1, bench.pk))
    call_command("plan_walk", "--bench", "South", "--minutes", "5", "--to-phones", stdout=StringIO())
    rows = [row for row in feed.read(0, 1000)[0] if row.topic == "plan"]
    assert [row.key for row in rows] == [str(bench.pk)]
    data = rows[0].data
    assert data is not None
    assert data.pop("made_at").endswith("Z")
    why = ["soil {dry:word}, no watering recorded since", {"dry": ["dry on {day:on}", {"day": "2026-05-30"}]}]
    dry = {"what": "soil", "why": why, "must": True, "seen": "2026-05-30"}
    assert data == {
        "name": "South",
        "on": today.isoformat(),
        "minutes": 5,
        "seconds": 58,
        "stops": [
            {"tree": str(first.id), "tag": "A1", "bench": str(bench.pk), "looks": [dry]},
            {"tree": str(second.id), "tag": "A2", "bench": str(bench.pk), "looks": [dry]},
        ],
    }
    assert [(plan.name, plan.minutes, plan.stops) for plan in plans.on_phones()] == [("South", 5, 2)]
    plans.take_off(bench.pk)
    assert plans.on_phones() == []
    assert FeedRow.objects.get(topic="plan").data is None


def test_a_plan_that_is_past_goes_with_the_next_one() -> None:
    tree("A1", bench=BenchFactory(name="South"), due=DRY)
    today = timezone.localdate()
    south = Bench.objects.get().pk
    plans.take_to_phones(walk_plan(today - timedelta(8), 5, south))
    plans.take_to_phones(walk_plan(today - timedelta(7), 5))
    assert [plan.key for plan in plans.on_phones()] == ["nursery"]


def test_a_rebuild_leaves_the_plan_as_it_is() -> None:
    bench = BenchFactory()
    tree("A1", bench=bench, due=DRY)
    journal.rebuild(today=DAY)
    plans.take_to_phones(walk_plan(timezone.localdate(), 5, bench.pk))
    kept = json.dumps(FeedRow.objects.get(topic="plan").data)
    before = journal.fingerprint()
    journal.rebuild(today=DAY)
    assert journal.fingerprint() == before
    assert json.dumps(FeedRow.objects.get(topic="plan").data) == kept


def test_each_look_says_what_to_do() -> None:
    assert [Look(what, "", 1.0).do for what in ("wire", "buds")] == [
        "look at the wire",
        "look low down for buds",
    ]
