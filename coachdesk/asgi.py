"""The ASGI application, for servers that speak ASGI."""

import os

from django.conf import settings
from django.core.asgi import get_asgi_application

from coachdesk.desk_lock import hold_desk

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "coachdesk.settings")
application = get_asgi_application()
# However the desk is served, a restore sees that it runs.
hold_desk(settings.ENV.home)
