"""A walk's plan: what to look at in the minutes at hand, and the way to the phones."""

from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_safe

from frontend.forms.walk import WalkForm
from frontend.views.common import posted
from frontend.who import needs
from nursery import plans
from nursery.people import Action
from nursery.reports.walk_plan import USUAL_MINUTES, WalkPlan, walk_plan


def _planned(form: WalkForm) -> WalkPlan:
    bench = form.cleaned_data["bench"]
    return walk_plan(timezone.localdate(), form.cleaned_data["minutes"], bench and bench.pk)


@require_safe
@needs(Action.READ)
def walk_page(request: HttpRequest) -> HttpResponse:
    form = WalkForm({"minutes": USUAL_MINUTES, **request.GET.dict()})
    facts = {"form": form, "carried": plans.on_phones()}
    if not form.is_valid():
        return render(request, "shed/walk.html", facts, status=400)
    return render(request, "shed/walk.html", {**facts, "plan": _planned(form)})


@posted("walk")
@needs(Action.RECORD)
def take_walk(request: HttpRequest) -> HttpResponse:
    """Publish the plan to the phones. It is made anew: what was looked at meanwhile is not on it."""
    form = WalkForm(request.POST)
    if not form.is_valid():
        return render(request, "shed/walk.html", {"form": form, "carried": plans.on_phones()}, status=400)
    plan = _planned(form)
    plans.take_to_phones(plan)
    said = ngettext(
        "%(plan)s, %(n)s stop: each phone takes this plan along when it next fetches.",
        "%(plan)s, %(n)s stops: each phone takes this plan along when it next fetches.",
        len(plan.stops),
    )
    along = plan.name if plan.bench else gettext("The whole nursery")
    messages.success(request, said % {"plan": along, "n": len(plan.stops)})
    asked = {"minutes": plan.minutes, **({"bench": plan.bench} if plan.bench else {})}
    return redirect(f"{reverse('walk')}?{urlencode(asked)}")


@posted("walk")
@needs(Action.RECORD)
def drop_walk(request: HttpRequest, id: UUID | None = None) -> HttpResponse:
    """Take a plan off the phones: that of a bench, or the one for the whole nursery."""
    plans.take_off(id)
    messages.success(
        request, gettext("The plan leaves each phone when it next fetches. What was recorded stays.")
    )
    return redirect("walk")
