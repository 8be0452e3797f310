"""The nursery's own name, clock and place."""

from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from frontend.doing import put
from frontend.forms.site import SiteForm, of
from frontend.who import needs
from nursery.errors import BadValue
from nursery.journal import compose
from nursery.models import Site
from nursery.people import Action


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Action.SETTINGS)
def site_page(request: HttpRequest, id: UUID | None = None) -> HttpResponse:
    """Change a site by a record of its own; without ``id`` the first one, or a new one."""
    sites = list(Site.objects.order_by("name", "id"))
    site = get_object_or_404(Site, pk=id) if id else next(iter(sites), None)
    if request.method == "POST":
        form = SiteForm(request.POST)
        if form.is_valid() and _keep(form, site):
            messages.success(request, gettext("{name}: kept.").format(name=form.cleaned_data["name"]))
            return redirect("site")
    else:
        form = SiteForm(initial=of(site, settings.TIME_ZONE))
    others = [s for s in sites if s != site]
    facts = {"form": form, "site": site, "others": others, "clock": settings.TIME_ZONE}
    return render(request, "shed/site.html", facts, status=400 if form.errors else 200)


def _keep(form: SiteForm, site: Site | None) -> bool:
    """Record what was typed; what the journal refuses is told beside its field."""
    try:
        refused = put([compose("site_set", form.body(site))])
    except BadValue as bad:
        form.refuse(bad.field, bad.message, bad.mend)
        return False
    if refused is not None:
        form.refuse(refused.field, refused.message, refused.mend)
    return refused is None
