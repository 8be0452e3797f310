"""Catalogues of texts: ``django.mo``, which Django reads, is built from ``django.po``, which is kept.

Done by Babel, so that nobody needs GNU gettext. Needs neither Django nor this package: the build hook loads
the file by its path.
"""

import os
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
#: Packages that hold texts, each with its own folder ``locale``.
ROOMS = ("nursery", "api", "frontend")


class NotCompiled(Exception):
    """A catalogue cannot be compiled; the text says which, why and what to do."""


def sources(root: Path = ROOT) -> list[Path]:
    """All ``django.po``, in a fixed order."""
    return sorted(po for room in ROOMS for po in (root / room / "locale").glob("*/LC_MESSAGES/django.po"))


def stale(root: Path = ROOT) -> list[Path]:
    """Those whose ``django.mo`` is missing or older."""
    return [po for po in sources(root) if not _fresh(po, po.with_suffix(".mo"))]


def _fresh(po: Path, mo: Path) -> bool:
    return mo.is_file() and mo.stat().st_mtime_ns >= po.stat().st_mtime_ns


def compile_all(root: Path = ROOT) -> list[Path]:
    """Compile all of them; gives the files written. Each is put in its place whole, or not at all.

    Raises
    ------
    NotCompiled
        When Babel is missing, or a catalogue is no catalogue.
    """
    return [_compile(po) for po in sources(root)]


def _compile(po: Path) -> Path:
    try:
        from babel.messages.mofile import write_mo
        from babel.messages.pofile import PoFileError, read_po
    except ImportError:
        raise NotCompiled("Babel is missing. Install it with: pip install babel") from None
    try:
        with po.open("rb") as file:
            catalogue = read_po(file, locale=po.parent.parent.name, abort_invalid=True)
    except (PoFileError, ValueError) as error:
        raise NotCompiled(f"{po}: {error}") from None
    mo = po.with_suffix(".mo")
    handle, draft = tempfile.mkstemp(prefix=".django-", suffix=".mo", dir=mo.parent)
    with os.fdopen(handle, "wb") as out:
        write_mo(out, catalogue)
    # A temporary file is its owner's alone; a server may run as somebody else.
    os.chmod(draft, 0o644)
    os.replace(draft, mo)
    return mo
