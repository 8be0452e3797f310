"""Surveys of roots and of branches, made at the shed: the same records as the phone's."""

from collections.abc import Iterator
from typing import Any

from django import forms

from frontend.forms.base import ShedForm, length_mm, line, one_of, whole
from nursery.reports.rose import DEFECTS
from nursery.reports.tree import TreePage
from nursery.science import strahler

#: Rows for roots: more than a trunk has that can be told apart.
ROWS = 20
GRADES = [("1", "1, thin"), ("2", "2"), ("3", "3"), ("4", "4"), ("5", "5, thick")]
LEVEL = [("yes", "level"), ("no", "off level")]


class RootsForm(ShedForm):
    """A root a row: where it leaves the trunk, how thick it is, whether level. Rows without degrees are none.

    The drawing beside it fills the rows in; they are the whole of the form without it.
    """

    kind = "root_survey"
    done = "Root survey recorded."

    defects = forms.MultipleChoiceField(
        label="Defects, if any",
        choices=list(DEFECTS.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "Defects: choose from the list."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        said = "a number from 0 to 360, clockwise from the front, seen from above."
        for n in range(1, ROWS + 1):
            told = f"Root {n}, degrees: {said}"
            self.fields[f"deg_{n}"] = forms.FloatField(
                label="Degrees",
                min_value=0,
                max_value=360,
                required=False,
                error_messages={"invalid": told, "min_value": told, "max_value": told},
                widget=forms.NumberInput(attrs={"aria-label": f"Root {n}, degrees", "step": "any"}),
            )
            for name, label, choices, first in (
                ("grade", "Thickness", GRADES, "3"),
                ("level", "Level", LEVEL, "yes"),
            ):
                # Left out counts as the usual answer: only the degrees make a root.
                self.fields[f"{name}_{n}"] = one_of(
                    f"Root {n}, {label.lower()}", choices, required=False, initial=first
                )
                self.fields[f"{name}_{n}"].widget.attrs["aria-label"] = f"Root {n}, {label.lower()}"

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
            self.add_error(None, "Nothing is marked: mark a root round the trunk, or a defect.")
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
    done = "Branches recorded."

    primaries = whole("From the trunk", 0, 500, help_text="Primary branches that stay in the design.")
    secondaries = whole("From those", 0, 5000, help_text="Secondary branches, all together.")
    internode_mm = length_mm(
        "Internode at the tips", 0.1, 1000, required=False, help_text="[mm] The usual one, newest growth."
    )
    order = whole(
        "Order of branching",
        1,
        20,
        required=False,
        help_text="How often it forks to the tips: 1 for a bare branch, 2 once it carries twigs.",
    )
    shape = line(
        "Or type its best branch",
        2000,
        required=False,
        help_text="A pair of brackets for each branch, its side branches inside: (()(()())) is of order 2.",
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
            raise forms.ValidationError(f"Or type its best branch: {odd}.") from None

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        counted, typed = given.get("order"), given.get("shape")
        if counted and typed and counted != typed:
            self.add_error(
                "order", f"Order of branching: the brackets give {typed}. Leave one of the two out."
            )
        return given

    def body(self) -> dict[str, Any]:
        given = self.cleaned_data
        body: dict[str, Any] = {"primaries": given["primaries"], "secondaries": given["secondaries"]}
        if given["internode_mm"] is not None:
            body["internode_mm"] = given["internode_mm"]
        order = given["order"] or given["shape"]
        return body | ({"order": order} if order else {})
