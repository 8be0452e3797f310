"""The shape of every form: label, hint, control, error."""

import math
from typing import TYPE_CHECKING, Any, TypeAlias

from django import forms
from django.utils import formats
from django.utils.text import format_lazy
from django.utils.translation import gettext, gettext_lazy

from frontend.numbers import plain_later

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise

#: A text, or one that is said in the reader's language when it is shown.
Words: TypeAlias = "str | _StrPromise"


class ShedForm(forms.Form):
    """A form drawn by our own template; errors are told above and beside the field."""

    template_name = "shed/form.html"
    required_css_class = "needed"

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        kwargs.setdefault("auto_id", f"{type(self).__name__.lower()}_%s")
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            field.error_messages["required"] = gettext("{label}: fill this in.").format(
                label=field.label or name
            )

    def refuse(self, field: str, message: str, mend: str = "") -> None:
        """Put an error of the journal or of another room beside its field, or above all of them."""
        name = field.removeprefix("body.")
        said = message if message.endswith(".") else f"{message}."
        label = self.fields[name].label if name in self.fields else ""
        self.add_error(name if label else None, f"{label}: {said} {mend}".strip(": "))


class DecimalField(forms.FloatField):
    """A number with a decimal point or comma, whatever the page's language; shown with the page's own.

    A field of plain text: browsers drop from a number's field what is not written their own way, unseen.
    """

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})

    def to_python(self, value: Any) -> float | None:  # type: ignore[override]  # as FloatField itself
        if isinstance(value, str):
            value = value.strip().replace(",", ".").replace("\u2212", "-")
        number: float | None = super().to_python(value)
        if number is not None and not math.isfinite(number):
            raise forms.ValidationError(self.error_messages["invalid"], code="invalid")
        return number

    def prepare_value(self, value: Any) -> Any:
        return formats.localize_input(value) if isinstance(value, float) else value


def whole(label: Words, least: int, most: int, **more: Any) -> forms.IntegerField:
    """A whole number with its range told in the error."""
    said = format_lazy(
        gettext_lazy("{label}: a whole number from {least} to {most}."), label=label, least=least, most=most
    )
    return forms.IntegerField(
        label=label,
        min_value=least,
        max_value=most,
        error_messages={"invalid": said, "min_value": said, "max_value": said},
        **more,
    )


def length_mm(label: Words, least: float, most: float, **more: Any) -> DecimalField:
    """A length [mm] with its range told in the error."""
    said = format_lazy(
        gettext_lazy("{label}: a number from {least} to {most}, in millimetres."),
        label=label,
        least=plain_later(least),
        most=plain_later(most),
    )
    return DecimalField(
        label=label,
        min_value=least,
        max_value=most,
        error_messages={"invalid": said, "min_value": said, "max_value": said},
        **more,
    )


def line(label: Words, most: int, **more: Any) -> forms.CharField:
    """One line of text with its length told in the error."""
    return forms.CharField(
        label=label,
        max_length=most,
        error_messages={
            "max_length": format_lazy(
                gettext_lazy("{label}: at most {most} characters."), label=label, most=most
            )
        },
        **more,
    )


def of_the_list(label: Words) -> Words:
    """What is said of a choice that is none."""
    return format_lazy(gettext_lazy("{label}: choose one of the list."), label=label)


def one_of(label: Words, choices: Any, **more: Any) -> forms.ChoiceField:
    """A choice from a closed list."""
    return forms.ChoiceField(
        label=label,
        choices=choices,
        error_messages={"invalid_choice": of_the_list(label)},
        **more,
    )
