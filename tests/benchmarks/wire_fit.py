"""The interval-censored fit of wires against lifelines: the same optimum, and which is faster.

``python -m tests.benchmarks.wire_fit --wires 10000 --json``. Both get the same simulated wires in one run.
``apart``: the largest difference between their parameters (logarithm of the scale and its two effects,
logarithm of the shape). Seconds are by the clock and of this process's processor time, lifelines' after a
small fit that warms it up.
"""

import argparse
import json
import time
from typing import Any

import numpy as np
import pandas as pd
from lifelines import WeibullAFTFitter

from nursery.science.censored import WeibullFit, fit_intervals

NAMES = ("Intercept", "growth", "trunk")


def simulated(n: int, seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Wires looked at every 0.15 growth-years from a random start, for 1.5 growth-years at most."""
    rng = np.random.default_rng(seed)
    x = np.column_stack([np.ones(n), rng.normal(size=n), rng.integers(0, 2, n)])
    true = np.exp(x @ [0.1, -0.8, 0.2]) * rng.weibull(3.0, n)
    start = rng.uniform(0.0, 0.15, n)
    seen = np.floor((true - start) / 0.15)
    low = np.where(seen < 0, 0.0, start + seen * 0.15)
    high = np.where(seen < 0, start, low + 0.15)
    late = low > 1.5
    return np.where(late, 1.5, low), np.where(late, np.inf, high), x


def by_lifelines(low: np.ndarray, high: np.ndarray, x: np.ndarray) -> WeibullAFTFitter:
    frame = pd.DataFrame({"low": low, "high": high, "growth": x[:, 1], "trunk": x[:, 2]})
    return WeibullAFTFitter().fit_interval_censoring(frame, "low", "high")


def apart(ours: WeibullFit, theirs: WeibullAFTFitter) -> float:
    """The largest difference between the parameters."""
    want = [theirs.params_["lambda_"][name] for name in NAMES] + [theirs.params_["rho_"]["Intercept"]]
    return float(np.abs(ours.theta - want).max())


def run(wires: int, seed: int = 7) -> dict[str, Any]:
    low, high, x = simulated(wires, seed)
    by_lifelines(*simulated(200, seed))
    began, worked = time.perf_counter(), time.process_time()
    ours = fit_intervals(low, high, x)
    middle, halfway = time.perf_counter(), time.process_time()
    theirs = by_lifelines(low, high, x)
    ended, done = time.perf_counter(), time.process_time()
    return {
        "wires": wires,
        "apart": apart(ours, theirs),
        "ours_s": round(middle - began, 4),
        "lifelines_s": round(ended - middle, 4),
        "ours_cpu_s": round(halfway - worked, 4),
        "lifelines_cpu_s": round(done - halfway, 4),
    }


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    options.add_argument("--wires", type=int, default=10_000)
    options.add_argument("--seed", type=int, default=7)
    options.add_argument("--json", action="store_true")
    given = options.parse_args()
    found = run(given.wires, given.seed)
    print(json.dumps(found) if given.json else "\n".join(f"{k:16} {v}" for k, v in found.items()))


if __name__ == "__main__":
    main()
