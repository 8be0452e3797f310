"""The file that a phone saved."""

from django import forms
from django.utils.translation import gettext_lazy as _

from frontend.forms.base import ShedForm
from nursery.keeping import handover


class HandOverForm(ShedForm):
    file = forms.FileField(
        label=_("The phone's file"),
        help_text=_(
            "Its name ends in .json. Choose Save to file in the phone's own menu, and bring it here."
        ),
        error_messages={"empty": _("The phone's file: it is empty. Export it again from the phone.")},
    )

    def read(self) -> bytes:
        """The file's bytes, one more than allowed at most."""
        data: bytes = self.cleaned_data["file"].read(handover.LIMIT + 1)
        return data
