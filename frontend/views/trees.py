"""Finding a tree, its page, and what is recorded there."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from frontend.charts import caliper_chart
from frontend.doing import record
from frontend.forms.tree import TREE_FORMS, TreeForm
from frontend.tree_facts import tree_facts
from frontend.views.common import page_number
from frontend.who import allows, needs
from nursery.models import Tree
from nursery.people import Action
from nursery.reports import tree as report
from nursery.reports import trees


@require_safe
@needs(Action.READ)
def tree_list(request: HttpRequest) -> HttpResponse:
    tag = request.GET.get("tag", "").strip()[:16]
    if tag:
        found = trees.exactly(tag)
        if len(found) == 1:
            return redirect("tree", id=found[0])
    page = trees.find(tag, page_number(request))
    return render(request, "shed/trees.html", {"sought": tag, "page": page})


def _tree(id: UUID) -> report.TreePage:
    try:
        return report.tree(id)
    except Tree.DoesNotExist:
        raise Http404 from None


def _show(
    request: HttpRequest, id: UUID, tried: "dict[str, TreeForm] | None" = None, status: int = 200
) -> HttpResponse:
    facts = _tree(id)
    records = report.records(id, page_number(request))
    forms: dict[str, TreeForm] = {}
    if allows(request, Action.RECORD) and not facts.left:
        forms = {name: form.of(facts) for name, form in TREE_FORMS.items()} | (tried or {})
    return render(
        request,
        "shed/tree.html",
        {
            "tree": facts,
            "records": records,
            "shown": {str(entry.id) for entry in records.rows},
            "mark": facts.standing.mark if facts.standing else 1.0,
            "forms": forms,
            "tried": next(iter(tried), "") if tried else "",
            "chart": caliper_chart(facts.measures, facts.thickness),
        }
        | tree_facts(facts, timezone.localdate()),
        status=status,
    )


@require_safe
@needs(Action.READ)
def tree_page(request: HttpRequest, id: UUID) -> HttpResponse:
    return _show(request, id)


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Action.RECORD)
def tree_record(request: HttpRequest, id: UUID, what: str) -> HttpResponse:
    if what not in TREE_FORMS:
        raise Http404
    if request.method != "POST":
        return redirect("tree", id=id)
    form = TREE_FORMS[what](request.POST)
    if not form.is_valid():
        return _show(request, id, {what: form}, status=400)
    _tree(id)
    record(request, form.kind, form.body(), tree=id, done=form.done)
    return redirect("tree", id=id)
