"""Which texts the sources ask of a catalogue: while developing, and in the test that none is missing."""

import io
from collections.abc import Iterator
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract
from babel.messages.pofile import read_po, write_po
from django.utils.translation.template import templatize

from frontend.catalogues import ROOT

HEAD = """# Texts of {room}. Bring up to the sources: python manage.py catalogues --update
msgid ""
msgstr ""
"Language: {locale}\\n"
"MIME-Version: 1.0\\n"
"Content-Type: text/plain; charset=utf-8\\n"
"Content-Transfer-Encoding: 8bit\\n"
"Plural-Forms: {plurals}\\n"

"""
KEYWORDS: dict[str, tuple[int | tuple[int, str], ...] | None] = {
    "_": None,
    "gettext": None,
    # nursery.sentences: a text kept as data, said at once, said when it is shown.
    "N_": None,
    "sentence": None,
    "said": None,
    "later": None,
    "gettext_lazy": None,
    "gettext_noop": None,
    "ngettext": (1, 2),
    "ngettext_lazy": (1, 2),
    "pgettext": ((1, "c"), 2),
    "pgettext_lazy": ((1, "c"), 2),
    "npgettext": ((1, "c"), 2, 3),
    "npgettext_lazy": ((1, "c"), 2, 3),
}
#: Not texts of the pages: what is built or brought along, and the phone's app, which has its own.
LEFT_OUT = {"node_modules", "dist", "bench", "migrations", "locale"}
TEMPLATES = {".html", ".txt", ".json"}


def _files(room: Path) -> Iterator[Path]:
    for path in sorted(room.rglob("*")):
        inside = path.relative_to(room).parts
        own = inside[:2] == ("templates", "bench") or not LEFT_OUT.intersection(inside)
        if own and path.is_file() and (path.suffix == ".py" or "templates" in inside):
            yield path


def _source(path: Path) -> bytes:
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".py":
        return text.encode()
    # What Django makes of a template is words and calls, no program: without their indents they are read.
    calls = templatize(text, origin=str(path))
    return "\n".join(line.lstrip() for line in calls.splitlines()).encode()


def extracted(name: str, root: Path = ROOT) -> Catalog:
    """The texts of the package ``name``, each with the files that ask for it."""
    found = Catalog(charset="utf-8")
    for path in _files(root / name):
        if path.suffix != ".py" and path.suffix not in TEMPLATES:
            continue
        where = path.relative_to(root).as_posix()
        for _line, text, comments, context in extract(
            "python", io.BytesIO(_source(path)), keywords=KEYWORDS, comment_tags=("Translators:",)
        ):
            found.add(text, None, [(where, 0)], auto_comments=comments, context=context)
    return found


def update(po: Path, root: Path = ROOT) -> Catalog:
    """Bring a ``django.po`` up to its sources: new texts empty, gone ones out. Nothing is guessed."""
    locale = po.parent.parent.name
    with po.open("rb") as file:
        kept = read_po(file, locale=locale)
    kept.update(extracted(po.relative_to(root).parts[0], root), no_fuzzy_matching=True)
    kept.obsolete.clear()
    head = HEAD.format(room=po.relative_to(root).parts[0], locale=locale, plurals=kept.plural_forms)
    with po.open("wb") as out:
        # A head of our own: Babel's has dates and addresses that differ with each run and say nothing.
        out.write(head.encode())
        write_po(out, kept, width=110, omit_header=True, sort_output=True, include_lineno=False)
    return kept


def translated(message: Message) -> bool:
    """Whether it has all that it needs, each form of a plural too."""
    forms = message.string if isinstance(message.string, list | tuple) else [message.string]
    return all(forms) and not message.fuzzy
