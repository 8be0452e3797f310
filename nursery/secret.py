"""The site's secret key: made on the first start, kept beside the data, never in the code."""

import os
from pathlib import Path

from django.core.management.utils import get_random_secret_key


def key(data: Path) -> str:
    """The key from ``MISHO_SECRET``, else from the data folder, else a new one written there.

    An unwritable folder gives a key for this process only: the commands that need the folder say so
    themselves, in one sentence, and ``--help`` must work without it.
    """
    given = os.environ.get("MISHO_SECRET")
    if given:
        return given
    path = data / "secret.key"
    try:
        return path.read_text(encoding="ascii").strip()
    except OSError:
        pass
    made = get_random_secret_key()
    try:
        data.mkdir(parents=True, exist_ok=True)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        # Another process won the race between our read and our write.
        return path.read_text(encoding="ascii").strip() or made
    except OSError:
        return made
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(made)
    return made
