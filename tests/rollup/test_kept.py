"""Stays in phases, scores at the ends of seasons, and what they say beside what was decided."""

from datetime import UTC, date, datetime

import pytest

from nursery.journal import fill_stays, rebuild
from nursery.journal.rebuild import fingerprint
from nursery.models import Score, Standing, Stay
from nursery.reports.kept_word import kept_word
from nursery.rollup import roll_up_all
from nursery.rollup.kept import score_seasons
from tests.factories import TreeFactory, record, take, withdrawal

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 25)


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(hour=9, tzinfo=UTC)


def planted(on: str, phase: str = "roots"):
    return TreeFactory(phase=phase, at=at(on), sown_year=2019)


def says(tree, kind: str, on: str, **body):
    made = record(kind, body, tree=tree.id, at=at(on))
    take(made)
    return made


def survey(tree, on: str, *angles: float) -> None:
    says(tree, "root_survey", on, roots=[{"deg": deg, "grade": 3, "level": True} for deg in angles])


GOOD = (0, 50, 100, 150, 200, 250, 300)


def stays(tree) -> list[tuple]:
    rows = Stay.objects.filter(tree=tree.id).order_by("since")
    return [(row.phase, row.since.isoformat(), row.until and row.until.isoformat(), row.end) for row in rows]


def test_a_stay_lasts_from_decision_to_decision() -> None:
    tree = planted("2023-03-01")
    says(tree, "phase_change", "2024-04-02", to="roots")  # the same again: no decision
    on = says(tree, "phase_change", "2025-03-05", to="trunk")
    gone = says(tree, "tree_left", "2026-05-01", how="sold")
    says(tree, "phase_change", "2026-06-01", to="branches")  # after it left
    assert stays(tree) == [
        ("roots", "2023-03-01", "2025-03-05", "trunk"),
        ("trunk", "2025-03-05", "2026-05-01", "sold"),
    ]
    assert [str(row.ended_by) for row in Stay.objects.order_by("since")] == [on["id"], gone["id"]]
    take(withdrawal(on, at=at("2026-07-01")))
    assert stays(tree) == [("roots", "2023-03-01", "2026-05-01", "sold")]
    roll_up_all(TODAY)  # a day's standing differs from the next one's: a rebuild is compared on its own day
    before = fingerprint()
    rebuild(TODAY)
    assert fingerprint() == before


def test_trees_of_an_older_version_get_their_stays() -> None:
    tree = planted("2023-03-01")
    says(tree, "phase_change", "2025-03-05", to="trunk")
    before = fingerprint()
    Stay.objects.all().delete()
    fill_stays()
    assert fingerprint() == before


def test_a_score_rests_on_nothing_that_came_after_its_day() -> None:
    tree = planted("2023-03-01")
    survey(tree, "2024-03-01", 0, 20, 40)  # roots on one side
    survey(tree, "2025-03-01", *GOOD)
    says(tree, "phase_change", "2026-03-05", to="trunk")
    assert score_seasons(TODAY) == 4
    scores = {on.year: (gate, p) for on, gate, p in Score.objects.values_list("on", "gate", "p")}
    assert {year: gate for year, (gate, _) in scores.items()} == {
        2023: "trunk", 2024: "trunk", 2025: "trunk", 2026: "branches",
    }  # fmt: skip
    assert scores[2023][1] == pytest.approx(0.4 * 0.6 * 0.7, abs=1e-4)  # nobody had looked
    assert scores[2024][1] < 0.02
    assert scores[2025][1] > 0.75
    assert score_seasons(TODAY) == 0  # reckoned once


def test_it_is_the_readiness_that_stood() -> None:
    tree = planted("2024-03-01")
    survey(tree, "2024-05-01", *GOOD)
    roll_up_all(date(2024, 11, 1))
    stood = Standing.objects.get(tree=tree).readiness
    score_seasons(TODAY)
    assert Score.objects.get(on=date(2024, 11, 1)).p == stood


def test_catching_up_goes_newest_first_and_in_pieces() -> None:
    planted("2023-03-01")
    assert score_seasons(TODAY, most=1) == 1
    assert [on.year for on in Score.objects.values_list("on", flat=True)] == [2026]
    assert score_seasons(TODAY, most=2) == 2
    assert sorted(on.year for on in Score.objects.values_list("on", flat=True)) == [2024, 2025, 2026]


def test_scores_are_set_beside_what_was_decided() -> None:
    advanced, held, culled, sold, open_one = (planted(f"2024-03-0{n}") for n in range(1, 6))
    for tree in (advanced, held, culled, sold):
        survey(tree, "2024-05-01", *GOOD)
    says(advanced, "phase_change", "2025-03-05", to="trunk")
    says(culled, "tree_left", "2025-03-05", how="culled")
    says(sold, "tree_left", "2025-03-05", how="sold")
    says(open_one, "phase_change", "2024-12-01", to="seedling")  # a step back
    score_seasons(date(2025, 6, 1))
    word = kept_word(date(2026, 10, 1))
    top = word.deciles[-1]
    assert (top.trees, top.advanced) == (3, 1)  # the sold one was not judged by its gate
    assert (top.least, top.most) == pytest.approx((0.061492, 0.792340), abs=1e-6)  # Wilson, 1 of 3, by scipy
    assert sum(d.trees for d in word.deciles) == 4
    assert [(d.tag, d.was, d.now) for d in word.latest] == [(advanced.tag, "roots", "trunk")]
    assert word.latest[0].p == pytest.approx(Score.objects.get(stay=_began(advanced)).p)
    assert kept_word(date(2025, 6, 1)).open == 1  # the held one has until the autumn


def _began(tree):
    return Stay.objects.filter(tree=tree.id).order_by("since")[0].id
