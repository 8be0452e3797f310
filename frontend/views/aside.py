"""What waits for a person, and how it is settled."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from frontend.doing import record, sentence
from frontend.forms.aside import ValueForm
from frontend.views.common import page_number, posted
from frontend.who import needs
from nursery.journal.kinds import KINDS, check_body
from nursery.models import Contested, Fate, JournalRecord, Species
from nursery.people import Action
from nursery.reports import aside
from nursery.sentences import say


@require_safe
@needs(Action.READ)
def set_aside(request: HttpRequest) -> HttpResponse:
    facts = {"settle": aside.to_settle(), "page": aside.set_aside(page_number(request)), "here": "records"}
    return render(request, "shed/aside/records.html", facts)


@require_safe
@needs(Action.READ)
def same_id(request: HttpRequest) -> HttpResponse:
    facts = {"settle": aside.to_settle(), "page": aside.contested(page_number(request)), "here": "same_id"}
    return render(request, "shed/aside/same_id.html", facts)


@require_safe
@needs(Action.READ)
def doubles(request: HttpRequest) -> HttpResponse:
    facts = {
        "settle": aside.to_settle(),
        "tags": aside.tags_used_twice(),
        "places": aside.places_used_twice(),
        "here": "doubles",
    }
    return render(request, "shed/aside/doubles.html", facts)


@require_safe
@needs(Action.READ)
def clocks(request: HttpRequest) -> HttpResponse:
    facts = {"settle": aside.to_settle(), "page": aside.ahead(page_number(request)), "here": "clocks"}
    return render(request, "shed/aside/clocks.html", facts)


def _set_aside(id: UUID) -> JournalRecord:
    found = JournalRecord.objects.filter(pk=id, fate=Fate.SET_ASIDE).exclude(kind="correction").first()
    if found is None:
        raise Http404
    return found


@needs(Action.SETTLE)
def correct(request: HttpRequest, id: UUID) -> HttpResponse:
    """Give one value of a record anew, by a correction."""
    found = _set_aside(id)
    key = aside.body_key(found.field)
    if not key:
        raise Http404
    row = aside.one(found)
    form = ValueForm(request.POST or None, record=found, key=key, initial={"value": row.value})
    if request.method == "POST" and form.is_valid():
        body = {"replaces": str(id), "body": form.new_body}
        said = gettext("{kind} corrected: {value}.")
        done = said.format(kind=row.kind_word, value=form.cleaned_data["value"])
        record(request, "correction", body, tree=found.tree, done=done)
        return redirect("set_aside")
    species = Species.objects.order_by("name") if key == "species" else Species.objects.none()
    facts = {"row": row, "form": form, "species": species}
    return render(request, "shed/aside/correct.html", facts, status=400 if form.errors else 200)


@posted("set_aside")
@needs(Action.SETTLE)
def discard(request: HttpRequest, id: UUID) -> HttpResponse:
    """Settle a record by withdrawing it: it stays in the journal, and counts for nothing."""
    found = _set_aside(id)
    body = {"replaces": str(id), "withdraw": True}
    record(
        request, "correction", body, tree=found.tree, done=gettext("Discarded. The record itself is kept.")
    )
    return redirect("set_aside")


@posted("set_aside")
@needs(Action.SETTLE)
def keep(request: HttpRequest, id: UUID) -> HttpResponse:
    """Settle a correction that was refused: confirm the record that it was for, as it stands now."""
    refused = get_object_or_404(JournalRecord, pk=id, fate=Fate.SET_ASIDE, kind="correction")
    first = get_object_or_404(JournalRecord.objects.exclude(kind="correction"), pk=refused.ref)
    body: dict[str, Any] = {"replaces": str(first.pk)}
    if first.fate == Fate.WITHDRAWN:
        body["withdraw"] = True
    else:
        body["body"] = first.body if first.corrected_body is None else first.corrected_body
    record(request, "correction", body, tree=first.tree, done=gettext("Confirmed as it stands."))
    return redirect("set_aside")


@posted("same_id")
@needs(Action.SETTLE)
def settle_same_id(request: HttpRequest, id: int, choice: str) -> HttpResponse:
    """Keep the first content of an id used twice, or let the second one correct it."""
    found = get_object_or_404(Contested, pk=id, settled_at__isnull=True)
    settled = True
    if choice == "second":
        first = get_object_or_404(JournalRecord, pk=found.record)
        content = found.content if isinstance(found.content, dict) else {}
        spec = KINDS.get(first.kind)
        fault = check_body(spec, content.get("body")) if spec else None
        if fault is not None:
            settled = False
            said = gettext("The second can't stand: {why} {mend}")
            messages.error(request, said.format(why=sentence(say(fault.message)), mend=say(fault.mend)))
        else:
            body = {"replaces": str(first.pk), "body": content.get("body")}
            done = gettext("The second now stands; the first is kept.")
            settled = record(request, "correction", body, tree=first.tree, done=done)
    else:
        messages.success(request, gettext("The first stands; the second is kept, and counts for nothing."))
    if settled:
        Contested.objects.filter(pk=id, settled_at__isnull=True).update(settled_at=timezone.now())
    return redirect("same_id")
