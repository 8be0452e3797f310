"""Asking for a walk's plan."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from frontend.forms.base import ShedForm, whole
from nursery.models import Bench
from nursery.reports.walk_plan import LEAST_MINUTES, MOST_MINUTES, USUAL_MINUTES


class BenchField(forms.ModelChoiceField):  # type: ignore[type-arg]  # not subscriptable at run time
    """A bench by its id; what is no id at all is told as plainly as an unknown one."""

    def to_python(self, value: Any) -> Any:
        try:
            return super().to_python(value)
        except forms.ValidationError:
            raise forms.ValidationError(
                self.error_messages["invalid_choice"], code="invalid_choice"
            ) from None


class WalkForm(ShedForm):
    minutes = whole(_("Minutes"), LEAST_MINUTES, MOST_MINUTES, required=False)
    bench = BenchField(
        Bench.objects.order_by("walk_order", "name"),
        label=_("Along"),
        empty_label=_("The whole nursery"),
        required=False,
        error_messages={"invalid_choice": _("Along: choose a bench of the list.")},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["minutes"].widget.attrs["placeholder"] = str(USUAL_MINUTES)

    def clean_minutes(self) -> int:
        """The usual time where none is given."""
        given: int | None = self.cleaned_data["minutes"]
        return USUAL_MINUTES if given is None else given
