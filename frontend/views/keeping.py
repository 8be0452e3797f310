"""Files of phones, backups, and the certificate that phones trust."""

import segno
from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from frontend.forms.keeping import HandOverForm
from frontend.templatetags.shed import aged
from frontend.who import allows, needs
from nursery import keeping, lan
from nursery.journal import owners_only
from nursery.keeping import handover
from nursery.people import Action


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Action.RECORD)
def hand_over(request: HttpRequest) -> HttpResponse:
    """Take a phone's file in. A damaged one is refused first, then offered for what can be read of it."""
    if request.method != "POST":
        return render(request, "shed/hand_over.html", {"form": HandOverForm()})
    form = HandOverForm(request.POST, request.FILES)
    facts: dict[str, object] = {"form": form}
    if not form.is_valid():
        return render(request, "shed/hand_over.html", facts, status=400)
    try:
        found = handover.read(form.read(), readable=request.POST.get("readable") == "1")
    except keeping.BadHandOver as fault:
        form.refuse("file", fault.message, fault.mend)
        facts |= {"readable": fault.readable}
        return render(request, "shed/hand_over.html", facts, status=400)
    if owners_only(found.records) and not allows(request, Action.SETTINGS):
        form.refuse(
            "file",
            gettext("It changes settings, which only the owner may"),
            gettext("Ask the owner to take it in."),
        )
        return render(request, "shed/hand_over.html", facts, status=403)
    tally = handover.take(found)
    done = {
        "name": found.name,
        "count": tally.count,
        "aside": tally.aside,
        "refused": tally.refused,
        "photos": tally.photos,
    }
    return render(request, "shed/hand_over.html", {"form": HandOverForm(), "done": done})


@require_safe
@needs(Action.READ)
def backups(request: HttpRequest) -> HttpResponse:
    last = keeping.last_good()
    facts = {
        "last": last[0].name if last else "",
        "age": aged(last[1]) if last else "",
        "old": last is None or last[1] > keeping.OLD,
        "trouble": keeping.last_trouble(),
        "kept": [(day, path.stat().st_size) for day, path in reversed(keeping.kept().items())],
        "folder": keeping.folder(),
    }
    return render(request, "shed/backups.html", facts)


@require_safe
@needs(Action.READ)
def trust(request: HttpRequest) -> HttpResponse:
    folder = lan.folder_of(settings.DATA_DIR)
    der = lan.root_certificate(folder)
    plain = lan.plain_address(folder)
    facts: dict[str, object] = {
        "mark": _in_lines(lan.fingerprint(der)) if der else "",
        "plain": plain,
        "qr": segno.make(plain, micro=False, error="m").svg_data_uri(scale=6, border=4, light="#fff")
        if plain
        else "",
        "words": lan.words,
        "secure": request.is_secure(),
    }
    return render(request, "shed/trust.html", facts)


def _in_lines(mark: str) -> str:
    """Eight pairs to a line: the whole of it must be seen on a phone, to be compared."""
    return "\n".join(mark[at : at + 24].rstrip(":") for at in range(0, len(mark), 24))


@require_safe
def certificate(request: HttpRequest) -> HttpResponse:
    """The authority's certificate; public, as certificates are: a phone fetches it before it can sign in."""
    der = lan.root_certificate(lan.folder_of(settings.DATA_DIR))
    if der is None:
        raise Http404
    return HttpResponse(
        der,
        content_type="application/x-x509-ca-cert",
        headers={"Cache-Control": "no-store", "Content-Disposition": 'attachment; filename="misho.cer"'},
    )
