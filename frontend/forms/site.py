"""The ground that the nursery stands on."""

from typing import Any
from uuid import uuid4

from django import forms
from django.utils.text import format_lazy
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from frontend.forms.base import DecimalField, ShedForm, Words, line
from nursery.models import Site


def degrees(label: Words, most: int, help_text: Words) -> DecimalField:
    """Degrees on the globe, none or within [-most, most]."""
    said = format_lazy(
        _("{label}: a number from -{most} to {most}, in degrees, or nothing."), label=label, most=most
    )
    return DecimalField(
        label=label,
        min_value=-most,
        max_value=most,
        required=False,
        help_text=help_text,
        # Not the decimal keyboard: phones leave the minus out of it.
        widget=forms.TextInput(attrs={"inputmode": "text", "autocomplete": "off"}),
        error_messages={"invalid": said, "min_value": said, "max_value": said},
    )


class SiteForm(ShedForm):
    name = line(_("Name of the nursery"), 80)
    time_zone = line(_("Time zone"), 64, help_text=_("As Europe/Rome or Asia/Tokyo. UTC where in doubt."))
    latitude = degrees(_("Latitude"), 90, _("[degrees north] South of the equator it is negative: -33.9."))
    longitude = degrees(_("Longitude"), 180, _("[degrees east] West of Greenwich it is negative."))

    def body(self, site: Site | None) -> dict[str, Any]:
        """The whole of a ``site_set``: what is left empty counts as not known."""
        given = {name: value for name, value in self.cleaned_data.items() if value is not None}
        return {"site": str(site.pk if site else uuid4()), **given}


def of(site: Site | None, time_zone: str) -> dict[str, Any]:
    """What the form shows at first."""
    if site is None:
        return {"name": gettext("Nursery"), "time_zone": time_zone}
    names = ("name", "time_zone", "latitude", "longitude")
    return {name: getattr(site, name) for name in names}
