"""The entry point for a WSGI server. With it starts what watches for background work."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "wps.settings")

application = get_wsgi_application()

from wps import worker  # noqa: E402  needs the application set up

worker.start()
