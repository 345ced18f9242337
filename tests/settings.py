"""The hub's own settings, with quick hashes, no collected static files, a folder of their own."""

import os
import tempfile
from pathlib import Path

os.environ["HOUSEHOLD_DATA_DIR"] = tempfile.mkdtemp(prefix="evenhouse-tests-")

from household.settings import *  # noqa: F403
from household.settings import DATABASE_URL, MIDDLEWARE, STORAGES, sqlite

if not DATABASE_URL:
    # A file, as in a home: with SQLite in memory the live server's threads and the test would
    # share one connection, and with it each other's transactions.
    file = Path(os.environ["HOUSEHOLD_DATA_DIR"], "tests.sqlite3")
    DATABASES = {"default": {**sqlite(file), "TEST": {"NAME": str(file)}}}

STORAGES = {
    **STORAGES,
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
MIDDLEWARE = [name for name in MIDDLEWARE if "whitenoise" not in name]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
