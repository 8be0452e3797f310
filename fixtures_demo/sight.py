"""Observers who err: what they write down of what is so."""

from dataclasses import dataclass

import numpy as np

from .truth import STATES


@dataclass(frozen=True)
class Observer:
    """One pair of eyes."""

    sees_buds: float  # P(writes buds | there are some)
    invents_buds: float  # P(writes buds | there are none)
    misjudges_wire: float  # P(one state off)
    caliper_share: float  # sd of a caliper reading, as a share of the diameter
    angle_sd: float  # [degrees] of a judged root


#: The grower, a careful helper, a hasty one.
OBSERVERS = (
    Observer(0.88, 0.03, 0.08, 0.015, 6.0),
    Observer(0.80, 0.04, 0.12, 0.02, 9.0),
    Observer(0.62, 0.09, 0.22, 0.04, 15.0),
)
#: How often each of them walks.
WALKS = (0.5, 0.35, 0.15)


def wire(rng: np.random.Generator, who: Observer, state: int) -> str:
    if rng.random() < who.misjudges_wire:
        state += 1 if rng.random() < 0.5 else -1
    return STATES[int(np.clip(state, 0, len(STATES) - 1))]


def buds(rng: np.random.Generator, who: Observer, present: bool, vigour: float) -> str:
    seen = rng.random() < (who.sees_buds if present else who.invents_buds)
    if not seen:
        return "none"
    return "many" if present and rng.random() < 0.35 * vigour else "few"


def caliper(rng: np.random.Generator, who: Observer, mm: float) -> float:
    """A reading [mm] to the tenth."""
    return round(float(max(0.5, mm * (1 + rng.normal(0, who.caliper_share)) + rng.normal(0, 0.15))), 1)


def roots(rng: np.random.Generator, who: Observer, there: list[dict[str, object]]) -> list[dict[str, object]]:
    """The surface roots as judged: angles off by some degrees, now and then one overlooked."""
    seen = []
    for root in there:
        if rng.random() < 0.04:
            continue
        degrees = float(str(root["deg"])) + rng.normal(0, who.angle_sd)
        grade = int(np.clip(int(str(root["grade"])) + rng.choice([-1, 0, 0, 0, 1]), 1, 5))
        level = root["level"] if rng.random() > 0.05 else not root["level"]
        seen.append({"deg": round(degrees % 360, 1) % 360, "grade": grade, "level": level})
    return seen


def defects(rng: np.random.Generator, who: Observer, there: set[str], known: dict[str, float]) -> list[str]:
    """Defects of the roots as noted: who misses buds misses those, too; hardly anybody invents one."""
    return [word for word in known if rng.random() < (who.sees_buds if word in there else 0.01)]


def largest_gap(there: list[dict[str, object]]) -> tuple[float, float]:
    """The largest gap between roots and its middle [degrees]; the whole round with fewer than two roots."""
    degrees = np.sort([float(str(root["deg"])) for root in there])
    if len(degrees) < 2:
        return 360.0, float(degrees[0] + 180) % 360 if len(degrees) else 0.0
    gaps = np.diff(np.append(degrees, degrees[0] + 360))
    widest = int(gaps.argmax())
    return float(gaps[widest]), float(degrees[widest] + gaps[widest] / 2) % 360
