"""Addresses below /api/."""

from django.urls import path, re_path

from api.base import Nothing
from api.pairing import Pair
from api.photos import Photo
from api.schema import Schema
from api.sync import Lacking, Pull, Push

urlpatterns = [
    path("devices/pair", Pair.as_view()),
    path("sync/push", Push.as_view()),
    path("sync/pull", Pull.as_view()),
    path("sync/lacking", Lacking.as_view()),
    path("photos/<uuid:id>", Photo.as_view()),
    path("schema", Schema.as_view()),
    re_path(r"^(?P<rest>.*)$", Nothing.as_view()),
]
