"""The WSGI door: gunicorn yard.config.wsgi."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "yard.config.settings")
application = get_wsgi_application()
