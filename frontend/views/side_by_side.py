"""Lots and benches side by side."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from frontend.strips import FLOOR, HEIGHT, WIDTH, drawings
from frontend.views.common import page_number
from frontend.who import needs
from nursery import practice
from nursery.people import Action
from nursery.reports import words
from nursery.reports.side_by_side import By, Of, side_by_side

TABS = [
    (By.LOT, Of.READINESS, _("Lots: how ready")),
    (By.LOT, Of.THICKNESS, _("Lots: how thick")),
    (By.BENCH, Of.READINESS, _("Benches: how ready")),
    (By.BENCH, Of.THICKNESS, _("Benches: how thick")),
]


@require_safe
@needs(Action.READ)
def side_page(request: HttpRequest, by: str, of: str) -> HttpResponse:
    try:
        which, what = By(by), Of(of)
    except ValueError:
        raise Http404 from None
    gate = request.GET.get("gate", "")
    gate = gate if gate in words.GATES else ""
    facts = side_by_side(which, what, gate, practice.current(), page_number(request))
    return render(
        request,
        "shed/side_by_side.html",
        {
            "facts": facts,
            "page": facts.page,
            "strips": drawings(facts),
            "size": (WIDTH, HEIGHT, FLOOR),
            "tabs": TABS,
            "gates": words.GATES,
            "gate": words.GATES.get(gate),
        },
    )
