"""The app's settings as the tests run it: quick passwords, plain static files, a home that is thrown away."""

import tests.web.own_home  # noqa: F401  # isort: skip  # first of all: the settings read where their home is
from ropewright.web.settings import *  # noqa: F403
from ropewright.web.settings import DATABASES, ENVIRONMENT, STORAGES

(ENVIRONMENT.home / "static").mkdir(exist_ok=True)
ALLOWED_HOSTS = [*ENVIRONMENT.hosts, "testserver"]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["TEST"] = {"NAME": str(ENVIRONMENT.home / "test.sqlite3")}
WORK_BESIDE = False  # no process is started beside the tests; they call the work themselves
