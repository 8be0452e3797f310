"""Benches, and putting in benches and trees."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_http_methods, require_safe

from frontend.forms.starting import BenchForm, TreesForm
from frontend.views.common import page_number
from frontend.who import allows, needs
from nursery.models import Bench
from nursery.people import Action
from nursery.reports.benches import bench, benches


@require_safe
@needs(Action.READ)
def bench_list(request: HttpRequest) -> HttpResponse:
    rows = benches(timezone.localdate())
    facts = {"benches": rows, "due": sum(b.any_due for b in rows), "trees": sum(b.trees for b in rows)}
    if allows(request, Action.RECORD):
        facts |= {"bench_form": BenchForm(), "trees_form": TreesForm() if rows else None}
    return render(request, "shed/benches.html", facts)


@require_safe
@needs(Action.READ)
def bench_page(request: HttpRequest, id: UUID) -> HttpResponse:
    try:
        facts = bench(id, timezone.localdate(), page_number(request, "row"))
    except Bench.DoesNotExist:
        raise Http404 from None
    return render(request, "shed/bench.html", {"bench": facts})


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Action.RECORD)
def add_bench(request: HttpRequest) -> HttpResponse:
    form = BenchForm(request.POST if request.method == "POST" else None)
    if not form.is_valid() or not form.save():
        return render(request, "shed/add_bench.html", {"form": form}, status=400 if form.is_bound else 200)
    name = form.cleaned_data["name"]
    messages.success(request, gettext("{bench} is in. Now put trees on it.").format(bench=name))
    return redirect("today")


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Action.RECORD)
def add_trees(request: HttpRequest) -> HttpResponse:
    form = TreesForm(request.POST if request.method == "POST" else None)
    if request.method != "POST" and not Bench.objects.exists():
        messages.error(request, gettext("Trees stand on a bench: put one in first."))
        return redirect("add_bench")
    if not form.is_valid() or not form.save():
        return render(request, "shed/add_trees.html", {"form": form}, status=400 if form.is_bound else 200)
    count, first, last = len(form.tags), form.tags[0], form.tags[-1]
    told = ngettext(
        "%(n)s tree is in: %(first)s. Write the tags as they stand here, check letter and all.",
        "%(n)s trees are in: %(first)s to %(last)s. Write the tags as they stand here, check letter and all.",
        count,
    )
    messages.success(request, told % {"n": count, "first": first, "last": last})
    return redirect("bench", id=form.cleaned_data["bench"].id)
