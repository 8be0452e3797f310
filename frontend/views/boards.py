"""Today, and the boards."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from frontend.forms.starting import BenchForm, TreesForm
from frontend.views.common import page_number
from frontend.who import needs
from nursery import practice
from nursery.people import Action
from nursery.reports import boards, today, words


@require_safe
@needs(Action.READ)
def today_page(request: HttpRequest) -> HttpResponse:
    facts = today.today(timezone.localdate())
    if facts.empty:
        forms = {"bench_form": BenchForm(), "trees_form": TreesForm() if facts.bench_count else None}
        return render(request, "shed/first_day.html", {"today": facts, **forms})
    return render(request, "shed/today.html", {"today": facts})


@require_safe
@needs(Action.READ)
def ready(request: HttpRequest) -> HttpResponse:
    gates = boards.gates()
    count = sum(g.ready for g in gates)
    facts = {"gates": gates, "mark": practice.ready(), "ready": count}
    return render(request, "shed/ready.html", facts)


@require_safe
@needs(Action.READ)
def ready_gate(request: HttpRequest, gate: str) -> HttpResponse:
    if gate not in words.GATES:
        raise Http404
    counts = next(g for g in boards.gates() if g.gate.name == gate)
    page = boards.ready(gate, page_number(request))
    facts = {"counts": counts, "gate": counts.gate, "page": page, "mark": practice.ready()}
    return render(request, "shed/ready_gate.html", facts)


@require_safe
@needs(Action.READ)
def held_back(request: HttpRequest) -> HttpResponse:
    counts = boards.held_counts()
    most = max((c.trees for c in counts), default=1)
    gates = [
        (gate, [(c, c.trees / most) for c in counts if c.criterion.gate == name])
        for name, gate in words.GATES.items()
    ]
    facts = {
        "gates": [g for g in gates if g[1]],
        "trees": sum(c.trees for c in counts),
        "blind": sum(c.not_looked for c in counts),
        "worst": max(counts, key=lambda c: c.trees, default=None),
    }
    return render(request, "shed/held_back.html", facts)


@require_safe
@needs(Action.READ)
def held_by(request: HttpRequest, criterion: str) -> HttpResponse:
    known = words.CRITERIA.get(criterion)
    if known is None:
        raise Http404
    page = boards.held(criterion, page_number(request))
    facts = {"criterion": known, "gate": words.GATES[known.gate], "page": page, "mark": practice.ready()}
    return render(request, "shed/held_by.html", facts)


@require_safe
@needs(Action.READ)
def wires(request: HttpRequest) -> HttpResponse:
    day = timezone.localdate()
    facts = {"counts": boards.wire_counts(day), "page": boards.wires(day, page_number(request))}
    return render(request, "shed/wires.html", facts)
