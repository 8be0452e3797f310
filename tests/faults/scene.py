"""The invented nursery that each run begins with."""

from __future__ import annotations

import uuid

SITE = uuid.UUID("0190a000-0000-7000-8000-000000000001")
BENCHES = [uuid.UUID(f"0190a000-0000-7000-8000-0000000001{n:02d}") for n in range(2)]
LOT = uuid.UUID("0190a000-0000-7000-8000-000000000201")
TREES = [uuid.UUID(f"0190a000-0000-7000-8000-0000000003{n:02d}") for n in range(6)]
PINE = "japanese-black-pine"


def as_id(space: int, seed: int, number: int) -> str:
    """An id that a plan gives: the same for the same seed."""
    return str(uuid.UUID(f"0190b000-000{space}-7000-8000-{seed % 16**7:07x}{number:05x}"))
