"""Addresses: the API, django-pwa's worker and manifest at the root, and the shed."""

from django.urls import include, path

urlpatterns = [
    path("api/", include("api.urls")),
    path("", include("pwa.urls")),
    path("", include("frontend.urls")),
]
