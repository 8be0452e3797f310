"""The server's entry."""

import gc
import os

from django.core.wsgi import get_wsgi_application

from nursery.answering import end_with_parent

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "nursery.settings")
application = get_wsgi_application()
end_with_parent()
# What is loaded now stays: the collector need not look at it again and again while records are taken in.
gc.freeze()
