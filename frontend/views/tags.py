"""Printing tags."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from frontend.forms.tags import TagsForm
from frontend.who import needs
from nursery.people import Action
from nursery.tagsheets import PAPERS, SIZES, Label, sheet


@require_safe
@needs(Action.READ)
def tags_page(request: HttpRequest) -> HttpResponse:
    """Choose what to print; ``?what=bench:<id>`` (lot, tree) chooses ahead."""
    form = TagsForm(what=request.GET.get("what", "")[:50])
    return render(request, "shed/tags.html", {"form": form})


@require_safe
@needs(Action.READ)
def tags_file(request: HttpRequest) -> HttpResponse:
    """The sheets as PDF, to be saved and printed; 400 and the form again for what cannot be printed."""
    form = TagsForm(request.GET, what=request.GET.get("what", "")[:50])
    if not form.is_valid():
        return render(request, "shed/tags.html", {"form": form}, status=400)
    labels = [Label(row.id, row.tag, (row.species, row.origin)) for row in form.rows]
    size, paper = form.cleaned_data["size"], form.cleaned_data["paper"]
    pdf = sheet(labels, SIZES[size], PAPERS[paper], form.title)
    name = f"misho-tags-{slugify(form.title) or 'sheet'}-{size}-{paper}.pdf"
    # Saved, not shown: a browser's own viewer likes to fit to the page, and the page's policy allows none.
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(pdf, content_type="application/pdf", headers=headers)
