"""The server's entry."""

import gc
import os

from django.core.wsgi import get_wsgi_application
from django.urls import get_resolver

from nursery.answering import end_with_parent

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "nursery.settings")
application = get_wsgi_application()
end_with_parent()
# What is loaded now stays: the collector need not look at it again and again while records are taken in. So
# all of it is loaded now, the views and their science too, and not by the first phone that asks.
_ = get_resolver().url_patterns
gc.collect()
gc.freeze()
# A push makes some ten thousand objects and frees them at its end, none of them by way of the collector.
gc.set_threshold(50_000, 20, 20)
