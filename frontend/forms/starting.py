"""Putting in the first bench and the first trees."""

from typing import Any
from uuid import uuid4

from django import forms
from django.conf import settings
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from frontend.doing import put
from frontend.forms.base import ShedForm, line, of_the_list, one_of, whole
from nursery.journal import compose
from nursery.models import Bench, Phase, Site, Species, Tree
from nursery.reports.benches import free_places
from nursery.science import tags

#: Trees put in at once by hand; more come by a list.
MOST_TREES = 500


class BenchForm(ShedForm):
    name = line(_("Name of the bench"), 60, help_text=_("As you call it, for example South bench."))
    rows = whole(_("Rows"), 1, 200, initial=3, help_text=_("Counted from the path where a walk begins."))
    places = whole(_("Places in a row"), 1, 200, initial=12, help_text=_("Pots from one end to the other."))
    walk_order = whole(
        _("Walked as number"),
        0,
        10000,
        required=False,
        help_text=_("Benches are walked in this order."),
    )

    def save(self) -> bool:
        """Record the bench, and the ground it stands on where there is none yet."""
        given = self.cleaned_data
        raws = []
        site = Site.objects.order_by("name", "id").values_list("id", flat=True).first()
        if site is None:
            site = uuid4()
            ground = {"site": str(site), "name": gettext("Nursery"), "time_zone": settings.TIME_ZONE}
            raws.append(compose("site_set", ground))
        order = given["walk_order"]
        if order is None:
            order = Bench.objects.count() + 1
        body = {"bench": str(uuid4()), "site": str(site), "name": given["name"], "walk_order": order}
        raws.append(compose("bench_set", body | {"rows": given["rows"], "places": given["places"]}))
        refused = put(raws)
        if refused is not None:
            self.refuse(refused.field, refused.message, refused.mend)
        return refused is None


class TreesForm(ShedForm):
    species = forms.ModelChoiceField(
        Species.objects.order_by("name"),
        label=_("Species"),
        empty_label=None,
        error_messages={"invalid_choice": of_the_list(_("Species"))},
    )
    count = whole(
        _("How many"),
        1,
        MOST_TREES,
        initial=12,
        help_text=format_lazy(_("Up to {most} at once."), most=MOST_TREES),
    )
    letters = line(
        _("Tags begin with"),
        3,
        initial="A",
        help_text=_("1 to 3 letters. Numbers follow on from the last in use."),
    )
    bench = forms.ModelChoiceField(
        Bench.objects.order_by("walk_order", "name"),
        label=_("On the bench"),
        empty_label=None,
        help_text=_("Set down in walking order, on the places that are free."),
        error_messages={"invalid_choice": of_the_list(_("On the bench"))},
    )
    phase = one_of(_("Phase"), Phase.choices, initial=Phase.SEEDLING)
    sown_year = whole(_("Year sown"), 1900, 2200, required=False, help_text=_("Leave empty when not known."))

    tags: list[str]

    def clean_letters(self) -> str:
        letters = str(self.cleaned_data["letters"]).strip().upper()
        if not letters or any(letter not in tags.LETTERS for letter in letters):
            raise forms.ValidationError(
                gettext("Tags begin with: use letters of {letters} only; I, L, O and U are misread.").format(
                    letters=tags.LETTERS
                )
            )
        return letters

    def clean_sown_year(self) -> int | None:
        year: int | None = self.cleaned_data["sown_year"]
        if year is not None and year > timezone.localdate().year:
            raise forms.ValidationError(gettext("Year sown: not after this year."))
        return year

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        if "bench" in given and "count" in given:
            free = len(free_places(given["bench"].id))
            if given["count"] > free:
                self.add_error(
                    "count",
                    gettext("How many: {bench} has {free} free places.").format(
                        bench=given["bench"].name, free=free
                    ),
                )
        return given

    def save(self) -> bool:
        """Record each tree and its place; tags go on from the highest number in use with this prefix."""
        given = self.cleaned_data
        start = highest(given["letters"]) + 1
        if start + given["count"] - 1 > tags.MOST_NUMBER:
            self.add_error(
                "letters", gettext("Tags begin with: these numbers are used up. Take other letters.")
            )
            return False
        self.tags = [tags.make(given["letters"], n) for n in range(start, start + given["count"])]
        raws = []
        for tag, (row, place) in zip(self.tags, free_places(given["bench"].id), strict=False):
            body = {"tag": tag, "species": given["species"].slug, "phase": given["phase"]}
            if given["sown_year"] is not None:
                body["sown_year"] = given["sown_year"]
            tree = uuid4()
            raws.append(compose("tree_new", body, tree=tree))
            move = {"bench": str(given["bench"].id), "row": row, "place": place}
            raws.append(compose("tree_move", move, tree=tree))
        refused = put(raws)
        if refused is not None:
            self.refuse(refused.field, refused.message, refused.mend)
        return refused is None


def highest(prefix: str) -> int:
    """The highest number that a tag with this prefix has, 0 for none. Trees that left count: tags rest."""
    numbers = [0]
    for tag in Tree.objects.filter(tag__startswith=prefix).values_list("tag", flat=True):
        digits = tag[len(prefix) : -1]
        if tags.valid(tag) and digits.isdigit():
            numbers.append(int(digits))
    return max(numbers)
