"""What an owner or a helper records about one tree at the shed."""

from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from frontend.forms.base import ShedForm, length_mm, line, of_the_list, one_of, whole
from frontend.forms.survey import BranchesForm, RootsForm
from nursery.models import Bench, Leaving, Phase, Style
from nursery.reports.tree import TreePage


class TargetForm(ShedForm):
    """Empty means: no such target."""

    height_mm = length_mm(
        _("Height"), 20, 5000, required=False, help_text=_("[mm] Finished, above the soil.")
    )
    base_mm = length_mm(
        _("Base diameter"),
        1,
        1000,
        required=False,
        help_text=_("[mm] By practice a sixth of the height."),
    )
    style = one_of(_("Style"), [("", _("not chosen")), *Style.choices], required=False)

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
    done = _("Target set.")

    def body(self) -> dict[str, Any]:
        given = self.cleaned_data
        return {"height_mm": given["height_mm"], "base_mm": given["base_mm"], "style": given["style"] or None}


class PhaseForm(ShedForm):
    to = one_of(_("Phase from now on"), Phase.choices, help_text=_("Choose its own phase to hold it there."))
    why = line(_("Why"), 200, required=False, help_text=_("A word for the years to come."))

    kind = "phase_change"
    done = _("Phase set.")

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
        label=_("To the bench"),
        required=False,
        empty_label=_("off the benches"),
        error_messages={"invalid_choice": of_the_list(_("To the bench"))},
    )
    row = whole(_("Row"), 1, 200, required=False)
    place = whole(_("Place"), 1, 200, required=False)

    kind = "tree_move"
    done = _("Moved.")

    @classmethod
    def of(cls, tree: TreePage) -> "MoveForm":
        return cls(initial={"bench": tree.bench_id, "row": tree.row, "place": tree.place})

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        bench: Bench | None = given.get("bench")
        if bench is None:
            return given
        for field, label, most in (
            ("row", gettext("Row"), bench.rows),
            ("place", gettext("Place"), bench.places),
        ):
            value = given.get(field)
            if field in self.errors:
                continue
            if value is None:
                self.add_error(
                    field, gettext("{label}: say which, 1 to {most}.").format(label=label, most=most)
                )
            elif value > most:
                said = gettext("{label}: {bench} has 1 to {most}.")
                self.add_error(field, said.format(label=label, bench=bench.name, most=most))
        return given

    def body(self) -> dict[str, Any]:
        given = self.cleaned_data
        if given["bench"] is None:
            return {"bench": None}
        return {"bench": str(given["bench"].id), "row": given["row"], "place": given["place"]}


class TagForm(ShedForm):
    tag = line(_("New tag"), 16, help_text=_("1 to 16 characters, as it will be written on the label."))

    kind = "tree_tag"
    done = _("Tag changed.")

    @classmethod
    def of(cls, tree: TreePage) -> "TagForm":
        return cls(initial={"tag": tree.tag})

    def clean_tag(self) -> str:
        tag = str(self.cleaned_data["tag"]).strip()
        if not tag or not tag.isprintable():
            raise forms.ValidationError(gettext("New tag: 1 to 16 characters that can be written."))
        return tag

    def body(self) -> dict[str, Any]:
        return {"tag": self.cleaned_data["tag"]}


class LeftForm(ShedForm):
    how = one_of(_("How it left"), Leaving.choices, initial=Leaving.DIED)
    why = line(_("Why"), 200, required=False, help_text=_("What you would do otherwise next time."))

    kind = "tree_left"
    done = _("Recorded: it has left. Its records stay.")

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
