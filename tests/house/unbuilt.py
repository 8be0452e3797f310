"""Misho's settings as on a clone where the front end was never built."""

from nursery.settings import *  # noqa: F403
from nursery.settings import DATA_DIR

DIST_DIR = DATA_DIR / "no-such-dist"
