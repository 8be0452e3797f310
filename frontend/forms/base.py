"""The shape of every form: label, hint, control, error."""

from typing import Any

from django import forms


class ShedForm(forms.Form):
    """A form drawn by our own template; errors are told above and beside the field."""

    template_name = "shed/form.html"
    required_css_class = "needed"

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        kwargs.setdefault("auto_id", f"{type(self).__name__.lower()}_%s")
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            field.error_messages.setdefault("required", f"{field.label or name}: fill this in.")
            field.error_messages["required"] = f"{field.label or name}: fill this in."

    def refuse(self, field: str, message: str, mend: str = "") -> None:
        """Put an error of the journal or of another room beside its field, or above all of them."""
        name = field.removeprefix("body.")
        said = message if message.endswith(".") else f"{message}."
        label = self.fields[name].label if name in self.fields else ""
        self.add_error(name if label else None, f"{label}: {said} {mend}".strip(": "))


def whole(label: str, least: int, most: int, **more: Any) -> forms.IntegerField:
    """A whole number with its range told in the error."""
    said = f"{label}: a whole number from {least} to {most}."
    return forms.IntegerField(
        label=label,
        min_value=least,
        max_value=most,
        error_messages={"invalid": said, "min_value": said, "max_value": said},
        **more,
    )


def length_mm(label: str, least: float, most: float, **more: Any) -> forms.FloatField:
    """A length [mm] with its range told in the error."""
    said = f"{label}: a number from {least:g} to {most:g}, in millimetres."
    return forms.FloatField(
        label=label,
        min_value=least,
        max_value=most,
        error_messages={"invalid": said, "min_value": said, "max_value": said},
        **more,
    )


def line(label: str, most: int, **more: Any) -> forms.CharField:
    """One line of text with its length told in the error."""
    return forms.CharField(
        label=label,
        max_length=most,
        error_messages={"max_length": f"{label}: at most {most} characters."},
        **more,
    )


def one_of(label: str, choices: Any, **more: Any) -> forms.ChoiceField:
    """A choice from a closed list."""
    return forms.ChoiceField(
        label=label,
        choices=choices,
        error_messages={"invalid_choice": f"{label}: choose one of the list."},
        **more,
    )
