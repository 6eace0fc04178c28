"""Settings of the test run: local ones with a fast hasher, an in-memory database and in-memory storage."""

import os
import tempfile

# Set before the settings are read, so that a test run leaves the local installation's folder alone.
os.environ["SPECAPP_ENV"] = "local"
os.environ["SPECAPP_DEBUG"] = ""
os.environ.setdefault("SPECAPP_SECRET_KEY", "only-for-tests-" + "0" * 40)
_FOLDER = tempfile.TemporaryDirectory(prefix="specapp-tests-")
os.environ["SPECAPP_VAR_DIR"] = _FOLDER.name

from specapp.config.settings import *  # noqa: E402,F403
from specapp.config.settings import STORAGES, env  # noqa: E402

if "DATABASE_URL" not in env.ENVIRON:
    DATABASES["default"]["NAME"] = ":memory:"  # noqa: F405
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {**STORAGES, "default": {"BACKEND": "django.core.files.storage.InMemoryStorage"}}
# Every client of a test would read all static files first.
WHITENOISE_AUTOREFRESH = True
MAIL_BESIDE_REQUEST = False
