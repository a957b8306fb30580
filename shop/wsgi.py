"""The door for a web server."""

import importlib
import os

from django.conf import settings
from django.core.wsgi import get_wsgi_application

from shop.setup.leaving import settings_or_leave

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
settings_or_leave()
application = get_wsgi_application()

if settings.REDIS_URL:
    # Importing it hangs up the bell by which pages wake the workers.
    importlib.import_module("shop.celery")
