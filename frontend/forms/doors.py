"""Coming in: signing in, and choosing a name and password by an entry link."""

from typing import Any

from django import forms

from frontend.forms.base import ShedForm, line


def secret_field(label: str, purpose: str, help_text: str = "") -> forms.CharField:
    """A password; ``purpose`` is the browser's autocomplete word."""
    return forms.CharField(
        label=label,
        max_length=200,
        strip=False,
        help_text=help_text,
        widget=forms.PasswordInput(attrs={"autocomplete": purpose}),
    )


class SignInForm(ShedForm):
    name = line("Name", 150, widget=forms.TextInput(attrs={"autocomplete": "username"}))
    password = secret_field("Password", "current-password")


class Chosen(ShedForm):
    """A new password, typed twice."""

    password = secret_field("Password", "new-password", "At least 10 characters. A short sentence is good.")
    again = secret_field("The same password again", "new-password")

    def clean_again(self) -> str:
        again = str(self.cleaned_data["again"])
        if "password" in self.cleaned_data and again != self.cleaned_data["password"]:
            label = self.fields["again"].label
            raise forms.ValidationError(f"{label}: the two differ. Type both anew.")
        return again


class EnterForm(Chosen):
    name = line(
        "Your name",
        150,
        help_text="What you will sign in with, and how others see you.",
        widget=forms.TextInput(attrs={"autocomplete": "username"}),
    )
    field_order = ("name", "password", "again")


class PasswordForm(Chosen):
    old = secret_field("Password until now", "current-password")
    field_order = ("old", "password", "again")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["password"].label = "New password"
        self.fields["again"].label = "The new password again"
