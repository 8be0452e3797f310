"""Addresses: the API, django-pwa's worker and manifest at the root, and the shed."""

from django.urls import include, path

urlpatterns = [
    path("api/", include("api.urls")),
    path("", include("pwa.urls")),
    path("", include("frontend.urls")),
]

handler400 = "frontend.views.errors.bad_request"
handler403 = "frontend.views.errors.forbidden"
handler404 = "frontend.views.errors.not_found"
handler500 = "frontend.views.errors.broken"
