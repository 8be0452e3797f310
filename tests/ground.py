"""Choose where the tests' data goes. Loaded by ``-p`` (see pyproject.toml), before Django's settings are."""

import atexit
import os
import tempfile

from frontend import catalogues

# A folder of its own for each process: keys, photos and (without DATABASE_URL) the database.
FOLDER = tempfile.TemporaryDirectory(prefix="misho-tests-")
os.environ["MISHO_DATA"] = FOLDER.name
os.environ.setdefault("MISHO_LOG", "ERROR")
atexit.register(FOLDER.cleanup)

# A pulled or edited catalogue counts at once; compiling twice at the same time does no harm.
if catalogues.stale():
    catalogues.compile_all()
