"""The ground that the nursery stands on."""

from typing import Any
from uuid import uuid4

from django import forms

from frontend.forms.base import ShedForm, line
from nursery.models import Site


def degrees(label: str, most: int, help_text: str) -> forms.FloatField:
    """Degrees on the globe, none or within [-most, most]."""
    said = f"{label}: a number from -{most} to {most}, in degrees, or nothing."
    return forms.FloatField(
        label=label,
        min_value=-most,
        max_value=most,
        required=False,
        help_text=help_text,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "text"}),
        error_messages={"invalid": said, "min_value": said, "max_value": said},
    )


class SiteForm(ShedForm):
    name = line("Name of the nursery", 80)
    time_zone = line("Time zone", 64, help_text="As Europe/Rome or Asia/Tokyo. UTC where in doubt.")
    latitude = degrees("Latitude", 90, "[degrees north] South of the equator it is negative: -33.9.")
    longitude = degrees("Longitude", 180, "[degrees east] West of Greenwich it is negative.")

    def body(self, site: Site | None) -> dict[str, Any]:
        """The whole of a ``site_set``: what is left empty counts as not known."""
        given = {name: value for name, value in self.cleaned_data.items() if value is not None}
        return {"site": str(site.pk if site else uuid4()), **given}


def of(site: Site | None, time_zone: str) -> dict[str, Any]:
    """What the form shows at first."""
    if site is None:
        return {"name": "Nursery", "time_zone": time_zone}
    names = ("name", "time_zone", "latitude", "longitude")
    return {name: getattr(site, name) for name in names}
