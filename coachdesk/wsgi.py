"""The WSGI application, for waitress and any other WSGI server."""

import gc
import os

from django.conf import settings
from django.core.wsgi import get_wsgi_application

from coachdesk.desk_lock import hold_desk

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "coachdesk.settings")
application = get_wsgi_application()
# However the desk is served, a restore sees that it runs.
hold_desk(settings.ENV.home)

# The engine's frozen values live long and in great numbers; looking through them all again and again stopped pages for
# a tenth of a second (measured: it made most of the 95th percentile).
gc.collect()
gc.freeze()
gc.set_threshold(50_000, 20, 50)
