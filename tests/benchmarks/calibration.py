"""Whether a score is the share that it says: readiness against the truth of the invented nursery.

``python -m tests.benchmarks.calibration --trees 5000 --seed 1 --json``: the nursery of ``fixtures_demo`` is
taken in record by record, fitted and rolled up as any other, and each standing's readiness is set beside
whether the criteria of its gate are all truly met.
"""

from __future__ import annotations

import argparse
import json
import os
import tempfile
from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

TODAY = date(2026, 11, 25)
YEARS = 6
#: About so many trees are at a gate of each hundred: the others wait for none, or left.
AT_A_GATE = 0.9


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    options.add_argument("--trees", type=int, default=5000, help="trees at a gate, at least")
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--json", action="store_true")
    given = options.parse_args()
    with tempfile.TemporaryDirectory(prefix="misho-calibration-") as name:
        os.environ["MISHO_DATA"] = str(Path(name))
        os.environ["DJANGO_SETTINGS_MODULE"] = "nursery.settings"
        os.environ.pop("DATABASE_URL", None)
        import django

        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        truth = fill(given.seed, round(given.trees / AT_A_GATE))
        found = {"seed": given.seed, **report(truth)}
    print(json.dumps(found, indent=1) if given.json else told(found))


def fill(seed: int, trees: int, today: date = TODAY) -> dict[str, tuple[str, dict[str, bool]]]:
    """Take a nursery in; gives what is true of its trees (``calibration_truth.met``)."""
    from fixtures_demo.fill import chunks
    from fixtures_demo.sim import live
    from nursery.journal import take_in
    from nursery.rollup import roll_up_all

    from .calibration_truth import met

    story, tending = live(seed, trees, max(3, trees // 60), YEARS, today)
    for batch in chunks(story):
        take_in(batch, today=today, roll_up=False)
    roll_up_all(today, refit=True)
    return met(tending, today)


def report(truth: Mapping[str, tuple[str, Mapping[str, bool]]]) -> dict[str, Any]:
    """Deciles of readiness and of each criterion's p, each as [trees, mean p, share truly met]."""
    from nursery.models import Standing

    gates: list[tuple[float, bool]] = []
    by_gate: dict[str, list[tuple[float, bool]]] = {}
    criteria: dict[str, list[tuple[float, bool]]] = {}
    looked: dict[str, list[tuple[float, bool]]] = {}
    for row in Standing.objects.exclude(gate=""):
        gate, so = truth[str(row.tree_id)]
        assert gate == row.gate
        assert row.readiness is not None
        pair = (row.readiness, all(so.values()))
        gates.append(pair)
        by_gate.setdefault(gate, []).append(pair)
        for criterion in row.criteria:
            entry = (criterion["p"], so[criterion["name"]])
            criteria.setdefault(criterion["name"], []).append(entry)
            if criterion["looked"]:
                looked.setdefault(criterion["name"], []).append(entry)
    high = [so for p, so in gates if 0.7 <= p <= 0.9]
    return {
        "gates": len(gates),
        "scored_07_09": len(high),
        "met_07_09": round(sum(high) / max(1, len(high)), 3),
        "readiness": deciles(gates),
        "by_gate": {name: deciles(pairs) for name, pairs in sorted(by_gate.items())},
        "criteria": {name: deciles(pairs) for name, pairs in sorted(criteria.items())},
        "looked": {name: deciles(pairs) for name, pairs in sorted(looked.items())},
    }


def deciles(pairs: Iterable[tuple[float, bool]]) -> list[list[float]]:
    """[lower end, trees, mean p, share met] of each tenth of the scale that has a tree."""
    by: dict[int, list[tuple[float, bool]]] = {}
    for p, so in pairs:
        by.setdefault(min(int(p * 10), 9), []).append((p, so))
    return [
        [at / 10, len(found), *(round(sum(pair[k] for pair in found) / len(found), 3) for k in (0, 1))]
        for at, found in sorted(by.items())
    ]


def told(found: Mapping[str, Any]) -> str:
    """The same as a table to read."""
    lines = [f"{found['gates']} trees at a gate; scored 0.7-0.9: {found['scored_07_09']}, "]
    lines[0] += f"of them truly met {found['met_07_09']:.1%}"
    for title in ("readiness", "by_gate", "criteria", "looked"):
        tables = found[title]
        for name, rows in {title: tables}.items() if isinstance(tables, list) else tables.items():
            lines.append(f"{title if name != title else ''} {name}".strip())
            lines += [f"  {low:.1f} {n:6.0f} {p:.3f} {share:.3f}" for low, n, p, share in rows]
    return "\n".join(lines)


if __name__ == "__main__":
    main()
