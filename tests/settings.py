"""The hub's own settings, with quick hashes, no collected static files, a folder of their own."""

import os
import tempfile

os.environ["HOUSEHOLD_DATA_DIR"] = tempfile.mkdtemp(prefix="evenhouse-tests-")

from household.settings import *  # noqa: F403
from household.settings import MIDDLEWARE, STORAGES

STORAGES = {
    **STORAGES,
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
MIDDLEWARE = [name for name in MIDDLEWARE if "whitenoise" not in name]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
