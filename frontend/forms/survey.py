"""Surveys of roots and of branches, made at the shed: the same records as the phone's."""

from collections.abc import Iterator
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from frontend.forms.base import DecimalField, ShedForm, length_mm, line, one_of, whole
from nursery.reports.rose import DEFECTS
from nursery.reports.tree import TreePage
from nursery.science import strahler

#: Rows for roots: more than a trunk has that can be told apart.
ROWS = 20
GRADES = [("1", _("1, thin")), ("2", "2"), ("3", "3"), ("4", "4"), ("5", _("5, thick"))]
LEVEL = [("yes", _("level")), ("no", _("off level"))]


class RootsForm(ShedForm):
    """A root a row: where it leaves the trunk, how thick it is, whether level. Rows without degrees are none.

    The drawing beside it fills the rows in; they are the whole of the form without it.
    """

    kind = "root_survey"
    done = _("Root survey recorded.")

    defects = forms.MultipleChoiceField(
        label=_("Defects, if any"),
        choices=list(DEFECTS.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": _("Defects: choose from the list.")},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for n in range(1, ROWS + 1):
            told = gettext(
                "Root {n}, degrees: a number from 0 to 360, clockwise from the front, seen from above."
            ).format(n=n)
            self.fields[f"deg_{n}"] = DecimalField(
                label=_("Degrees"),
                min_value=0,
                max_value=360,
                required=False,
                error_messages={"invalid": told, "min_value": told, "max_value": told},
                widget=forms.TextInput(
                    attrs={
                        "aria-label": gettext("Root {n}, degrees").format(n=n),
                        "inputmode": "decimal",
                        "autocomplete": "off",
                    }
                ),
            )
            for name, label, choices, first in (
                ("grade", gettext("Root {n}, thickness"), GRADES, "3"),
                ("level", gettext("Root {n}, level"), LEVEL, "yes"),
            ):
                # Left out counts as the usual answer: only the degrees make a root.
                said = label.format(n=n)
                self.fields[f"{name}_{n}"] = one_of(said, choices, required=False, initial=first)
                self.fields[f"{name}_{n}"].widget.attrs["aria-label"] = said

    @classmethod
    def of(cls, tree: TreePage) -> "RootsForm":
        return cls()

    def rows(self) -> Iterator[tuple[int, forms.BoundField, forms.BoundField, forms.BoundField]]:
        for n in range(1, ROWS + 1):
            yield n, self[f"deg_{n}"], self[f"grade_{n}"], self[f"level_{n}"]

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        degrees = [given.get(f"deg_{n}") for n in range(1, ROWS + 1)]
        if not self.errors and not given.get("defects") and all(deg is None for deg in degrees):
            self.add_error(None, gettext("Nothing is marked: mark a root round the trunk, or a defect."))
        return given

    def body(self) -> dict[str, Any]:
        given = self.cleaned_data
        roots = [
            {
                "deg": round(given[f"deg_{n}"] % 360.0, 1) % 360.0,
                "grade": int(given[f"grade_{n}"] or 3),
                "level": given[f"level_{n}"] != "no",
            }
            for n in range(1, ROWS + 1)
            if given[f"deg_{n}"] is not None
        ]
        roots.sort(key=lambda root: root["deg"])
        return {"roots": roots} | ({"defects": given["defects"]} if given["defects"] else {})


class BranchesForm(ShedForm):
    """Counts. The order of branching may be counted, or one branch typed with brackets."""

    kind = "branch_survey"
    done = _("Branches recorded.")

    primaries = whole(_("From the trunk"), 0, 500, help_text=_("Primary branches that stay in the design."))
    secondaries = whole(_("From those"), 0, 5000, help_text=_("Secondary branches, all together."))
    internode_mm = length_mm(
        _("Internode at the tips"),
        0.1,
        1000,
        required=False,
        help_text=_("[mm] The usual one, newest growth."),
    )
    order = whole(
        _("Order of branching"),
        1,
        20,
        required=False,
        help_text=_("How often it forks to the tips: 1 for a bare branch, 2 once it carries twigs."),
    )
    shape = line(
        _("Or type its best branch"),
        2000,
        required=False,
        help_text=_(
            "A pair of brackets for each branch, its side branches inside: (()(()())) is of order 2."
        ),
    )

    @classmethod
    def of(cls, tree: TreePage) -> "BranchesForm":
        return cls()

    def clean_shape(self) -> int | None:
        """The order of what was typed."""
        typed = str(self.cleaned_data["shape"]).strip()
        if not typed:
            return None
        try:
            return strahler.branching(strahler.read(typed)).order
        except ValueError as odd:
            raise forms.ValidationError(gettext("Or type its best branch: {odd}.").format(odd=odd)) from None

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        counted, typed = given.get("order"), given.get("shape")
        if counted and typed and counted != typed:
            self.add_error(
                "order",
                gettext("Order of branching: the brackets give {typed}. Leave one of the two out.").format(
                    typed=typed
                ),
            )
        return given

    def body(self) -> dict[str, Any]:
        given = self.cleaned_data
        body: dict[str, Any] = {"primaries": given["primaries"], "secondaries": given["secondaries"]}
        if given["internode_mm"] is not None:
            body["internode_mm"] = given["internode_mm"]
        order = given["order"] or given["shape"]
        return body | ({"order": order} if order else {})
