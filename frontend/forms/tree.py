"""What an owner or a helper records about one tree at the shed."""

from typing import Any

from django import forms

from frontend.forms.base import ShedForm, length_mm, line, one_of, whole
from frontend.forms.survey import BranchesForm, RootsForm
from nursery.models import Bench, Leaving, Phase, Style
from nursery.reports.tree import TreePage


class TargetForm(ShedForm):
    """Empty means: no such target."""

    height_mm = length_mm("Height", 20, 5000, required=False, help_text="[mm] Finished, above the soil.")
    base_mm = length_mm(
        "Base diameter",
        1,
        1000,
        required=False,
        help_text="[mm] By practice a sixth of the height.",
    )
    style = one_of("Style", [("", "not chosen"), *Style.choices], required=False)

    @classmethod
    def of(cls, tree: TreePage) -> "TargetForm":
        return cls(
            initial={
                "height_mm": tree.target_height_mm,
                "base_mm": tree.target_base_mm,
                "style": tree.target_style,
            }
        )

    kind = "target_set"
    done = "Target set."

    def body(self) -> dict[str, Any]:
        given = self.cleaned_data
        return {"height_mm": given["height_mm"], "base_mm": given["base_mm"], "style": given["style"] or None}


class PhaseForm(ShedForm):
    to = one_of("Phase from now on", Phase.choices, help_text="Choose its own phase to hold it there.")
    why = line("Why", 200, required=False, help_text="A word for the years to come.")

    kind = "phase_change"
    done = "Phase set."

    @classmethod
    def of(cls, tree: TreePage) -> "PhaseForm":
        phases = list(Phase.values)
        ready = tree.standing is not None and tree.standing.ready
        at = phases.index(tree.phase) + (1 if ready else 0)
        if ready and tree.phase == Phase.SOWN:
            at += 1
        return cls(initial={"to": phases[min(at, len(phases) - 1)]})

    def body(self) -> dict[str, Any]:
        given = self.cleaned_data
        return {"to": given["to"]} | ({"why": given["why"]} if given["why"] else {})


class MoveForm(ShedForm):
    bench = forms.ModelChoiceField(
        Bench.objects.order_by("walk_order", "name"),
        label="To the bench",
        required=False,
        empty_label="off the benches",
        error_messages={"invalid_choice": "To the bench: choose one of the list."},
    )
    row = whole("Row", 1, 200, required=False)
    place = whole("Place", 1, 200, required=False)

    kind = "tree_move"
    done = "Moved."

    @classmethod
    def of(cls, tree: TreePage) -> "MoveForm":
        return cls(initial={"bench": tree.bench_id, "row": tree.row, "place": tree.place})

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        bench: Bench | None = given.get("bench")
        if bench is None:
            return given
        for field, label, most in (("row", "Row", bench.rows), ("place", "Place", bench.places)):
            value = given.get(field)
            if field in self.errors:
                continue
            if value is None:
                self.add_error(field, f"{label}: say which, 1 to {most}.")
            elif value > most:
                self.add_error(field, f"{label}: {bench.name} has 1 to {most}.")
        return given

    def body(self) -> dict[str, Any]:
        given = self.cleaned_data
        if given["bench"] is None:
            return {"bench": None}
        return {"bench": str(given["bench"].id), "row": given["row"], "place": given["place"]}


class TagForm(ShedForm):
    tag = line("New tag", 16, help_text="1 to 16 characters, as it will be written on the label.")

    kind = "tree_tag"
    done = "Tag changed."

    @classmethod
    def of(cls, tree: TreePage) -> "TagForm":
        return cls(initial={"tag": tree.tag})

    def clean_tag(self) -> str:
        tag = str(self.cleaned_data["tag"]).strip()
        if not tag or not tag.isprintable():
            raise forms.ValidationError("New tag: 1 to 16 characters that can be written.")
        return tag

    def body(self) -> dict[str, Any]:
        return {"tag": self.cleaned_data["tag"]}


class LeftForm(ShedForm):
    how = one_of("How it left", Leaving.choices, initial=Leaving.DIED)
    why = line("Why", 200, required=False, help_text="What you would do otherwise next time.")

    kind = "tree_left"
    done = "Recorded: it has left. Its records stay."

    @classmethod
    def of(cls, tree: TreePage) -> "LeftForm":
        return cls()

    def body(self) -> dict[str, Any]:
        given = self.cleaned_data
        return {"how": given["how"]} | ({"why": given["why"]} if given["why"] else {})


TreeForm = TargetForm | PhaseForm | MoveForm | TagForm | LeftForm | RootsForm | BranchesForm

#: The word in the address, and the form behind it.
TREE_FORMS: dict[str, type[TreeForm]] = {
    "target": TargetForm,
    "phase": PhaseForm,
    "move": MoveForm,
    "tag": TagForm,
    "left": LeftForm,
    "roots": RootsForm,
    "branches": BranchesForm,
}
