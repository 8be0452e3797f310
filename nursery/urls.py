"""Addresses: the API, django-pwa's worker and manifest at the root, and the shed."""

from django.urls import include, path
from django.views.decorators.cache import never_cache
from pwa.views import service_worker

urlpatterns = [
    path("api/", include("api.urls")),
    # Before django-pwa's own: a worker kept by a cache would keep phones from ever getting a new app.
    path("serviceworker.js", never_cache(service_worker), name="serviceworker"),
    path("", include("pwa.urls")),
    path("", include("frontend.urls")),
]

handler400 = "frontend.views.errors.bad_request"
handler403 = "frontend.views.errors.forbidden"
handler404 = "frontend.views.errors.not_found"
handler500 = "frontend.views.errors.broken"
