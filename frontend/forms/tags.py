"""Which tags to print, how large, on which paper."""

from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from frontend.forms.base import ShedForm, line, one_of
from frontend.templatetags.shed import spaced
from nursery.reports import tag_rows
from nursery.reports.tag_rows import Group, TagRow
from nursery.tagsheets import MOST, PAPERS, SIZES

GROUPS = {"tree": tag_rows.of_tree, "bench": tag_rows.of_bench, "lot": tag_rows.of_lot}
Choices = list[tuple[str, Any]]


def _named(kind: str, groups: list[Group]) -> list[tuple[str, str]]:
    return [
        (
            f"{kind}:{g.id}",
            ngettext("%(name)s (%(n)s tree)", "%(name)s (%(n)s trees)", g.trees)
            % {"name": g.name, "n": spaced(g.trees)},
        )
        for g in groups
    ]


def _choices(what: str) -> Choices:
    """All benches and lots with trees; the one tree that was come from before them."""
    found: Choices = []
    if what.startswith("tree:"):
        found += [(f"tree:{row.id}", gettext("{tag} alone").format(tag=row.tag)) for row in _trees(what)]
    for word, kind, groups in (
        (gettext("Benches"), "bench", tag_rows.benches()),
        (gettext("Lots"), "lot", tag_rows.lots()),
    ):
        if groups:
            found.append((word, _named(kind, groups)))
    return found


def _trees(what: str) -> list[TagRow]:
    kind, _, text = what.partition(":")
    try:
        return GROUPS[kind](UUID(text))
    except (KeyError, ValueError):
        return []


class TagsForm(ShedForm):
    what = one_of(_("Tags of"), [])
    size = one_of(_("Size of a tag"), [(key, size.name) for key, size in SIZES.items()], initial="30x60")
    paper = one_of(_("Paper"), [(key, paper.name) for key, paper in PAPERS.items()], initial="a4")
    first = line(_("From tag"), 16, required=False, help_text=_("Empty: from the first on."))
    last = line(
        _("To tag"),
        16,
        required=False,
        help_text=_("Empty: to the last. A bench is printed as it is walked."),
    )

    rows: list[TagRow]

    def __init__(self, *args: Any, what: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["what"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = _choices(what)
        self.initial.setdefault("what", what)

    @property
    def nothing(self) -> bool:
        """There is no tree to print a tag for."""
        field = self.fields["what"]
        assert isinstance(field, forms.ChoiceField)
        return not field.choices

    def clean(self) -> None:
        """Settle which tags: a part of the group, by the first and the last of them."""
        given = self.cleaned_data
        if "what" not in given:
            return
        rows = _trees(given["what"])
        start = self._at("first", rows, 0)
        end = self._at("last", rows, len(rows) - 1)
        if start is None or end is None:
            return
        if end < start:
            said = gettext("To tag: {last} stands before {first} there.")
            self.add_error("last", said.format(last=rows[end].tag, first=rows[start].tag))
        self.rows = rows[start : end + 1]
        if len(self.rows) > MOST:
            least, then = self.rows[MOST - 1].tag, self.rows[MOST].tag
            self.add_error(
                "last",
                gettext(
                    "To tag: {n} tags are too many for one file of at most {most}. "
                    "Print to {least} now, and from {then} next."
                ).format(n=spaced(len(self.rows)), most=spaced(MOST), least=least, then=then),
            )

    def _at(self, field: str, rows: list[TagRow], empty: int) -> int | None:
        """Where the tag typed into a field stands among the rows; None and an error for one not there."""
        wanted = str(self.cleaned_data.get(field, "")).strip().upper()
        if not wanted:
            return empty
        found = [at for at, row in enumerate(rows) if row.tag.upper() == wanted]
        if not found:
            said = gettext("{label}: no tree there has the tag {tag}.")
            self.add_error(field, said.format(label=self.fields[field].label, tag=wanted))
            return None
        return found[0 if field == "first" else -1]

    @property
    def title(self) -> str:
        """What is printed, for the page's head and the file's name."""
        kind, _, text = self.cleaned_data["what"].partition(":")
        if kind == "tree":
            return self.rows[0].tag
        groups = tag_rows.benches() if kind == "bench" else tag_rows.lots()
        name = next(g.name for g in groups if str(g.id) == text)
        return name if kind == "bench" else gettext("lot {name}").format(name=name)
