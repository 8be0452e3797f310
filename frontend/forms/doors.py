"""Coming in: signing in, and choosing a name and password by an entry link."""

from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from frontend.forms.base import ShedForm, Words, line


def secret_field(label: Words, purpose: str, help_text: Words = "") -> forms.CharField:
    """A password; ``purpose`` is the browser's autocomplete word."""
    return forms.CharField(
        label=label,
        max_length=200,
        strip=False,
        help_text=help_text,
        widget=forms.PasswordInput(attrs={"autocomplete": purpose}),
    )


class SignInForm(ShedForm):
    name = line(_("Name"), 150, widget=forms.TextInput(attrs={"autocomplete": "username"}))
    password = secret_field(_("Password"), "current-password")


class Chosen(ShedForm):
    """A new password, typed twice."""

    password = secret_field(
        _("Password"), "new-password", _("At least 10 characters. A short sentence is good.")
    )
    again = secret_field(_("The same password again"), "new-password")

    def clean_again(self) -> str:
        again = str(self.cleaned_data["again"])
        if "password" in self.cleaned_data and again != self.cleaned_data["password"]:
            label = self.fields["again"].label
            raise forms.ValidationError(
                gettext("{label}: the two differ. Type both anew.").format(label=label)
            )
        return again


class EnterForm(Chosen):
    name = line(
        _("Your name"),
        150,
        help_text=_("What you will sign in with, and how others see you."),
        widget=forms.TextInput(attrs={"autocomplete": "username"}),
    )
    field_order = ("name", "password", "again")


class PasswordForm(Chosen):
    old = secret_field(_("Password until now"), "current-password")
    field_order = ("old", "password", "again")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["password"].label = gettext("New password")
        self.fields["again"].label = gettext("The new password again")
