"""Entry point for a WSGI server."""

import gc
import os

from django.core.wsgi import get_wsgi_application
from django.urls import reverse

from specapp.criteria.loader import load_defaults

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "specapp.config.settings")
application = get_wsgi_application()
# Read here what the first page would wait for: every view, every criterion. A server that loads the program
# before it parts into workers does so once for all of them.
reverse("core:sign-in")
load_defaults()
# All of it stays for good: looking through it again for what can be thrown away was a tenth of every page.
gc.collect()
gc.freeze()
