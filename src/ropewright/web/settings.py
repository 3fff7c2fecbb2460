"""Django's settings, from `environment`. Nothing here is a secret and nothing is changed while it runs."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from typing import Any

from csp.constants import NONE, SELF

from ropewright.drawing import font_folder
from ropewright.web.environment import read_environment

ENVIRONMENT = read_environment()
WEB = Path(__file__).parent

DEBUG = False
SECRET_KEY = ENVIRONMENT.key
ALLOWED_HOSTS = list(ENVIRONMENT.hosts)
ROOT_URLCONF = "ropewright.web.urls"
WSGI_APPLICATION = "ropewright.web.wsgi.application"

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_htmx",
    "csp",
    "axes",
    "simple_history",
    "ropewright.web.accounts",
    "ropewright.web.people",
    "ropewright.web.policy",
    "ropewright.web.workings",
    "ropewright.web.rigs",
    "ropewright.web.procedures",
    "ropewright.web.gear",
    "ropewright.web.planning",
    "ropewright.web.tables",
    "ropewright.web.documents",
    "ropewright.web.interface",
    "ropewright.web.pages",
    "ropewright.web.demo",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "ropewright.web.middleware.team_time",
    "ropewright.web.middleware.no_zero_bytes",
    "ropewright.web.documents.limit.upload_limit",
    "ropewright.web.middleware.trouble",
    "ropewright.web.workings.answers.waits",
    "simple_history.middleware.HistoryRequestMiddleware",
    "axes.middleware.AxesMiddleware",
]
FORM_RENDERER = "ropewright.web.quick.QuickRenderer"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [WEB / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "ropewright.web.context.shell",
            ],
            "builtins": ["ropewright.web.templatetags"],
        },
    }
]

DATABASES: dict[str, dict[str, Any]] = {"default": dict(ENVIRONMENT.database)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "accounts.Account"
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}", "OPTIONS": options}
    for name, options in (
        ("UserAttributeSimilarityValidator", {}),
        ("MinimumLengthValidator", {"min_length": 10}),
        ("CommonPasswordValidator", {}),
        ("NumericPasswordValidator", {}),
    )
]
LOGIN_URL = "accounts:sign-in"
LOGIN_REDIRECT_URL = "pages:today"
LOGOUT_REDIRECT_URL = "accounts:sign-in"

# Ten wrong passwords for one name from one address shut that pair out for a quarter of an hour.
AXES_FAILURE_LIMIT = 10
AXES_COOLOFF_TIME = timedelta(minutes=15)
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_CLIENT_IP_CALLABLE = "ropewright.web.accounts.throttle.address_of"
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_CALLABLE = "ropewright.web.accounts.throttle.locked_out"
AXES_ENABLE_ACCESS_FAILURE_LOG = True
AXES_VERBOSE = False

SESSION_COOKIE_AGE = 60 * 60 * 24 * 14
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_FAILURE_VIEW = "ropewright.web.pages.trouble.stale_form"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
if ENVIRONMENT.production:
    SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = True
    SECURE_SSL_REDIRECT = True
    SECURE_REDIRECT_EXEMPT = [r"^health$"]
    SECURE_HSTS_SECONDS = 31_536_000
    CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in ENVIRONMENT.hosts]
if ENVIRONMENT.behind_proxy:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
    }
}

LANGUAGE_CODE = "en-gb"
USE_I18N = False
USE_TZ = True
TIME_ZONE = "UTC"
FORMAT_MODULE_PATH = "ropewright.web.formats"  # dates as 2026-03-14 everywhere, whatever the language has
DATE_FORMAT = "Y-m-d"
DATETIME_FORMAT = "Y-m-d H:i"

STATIC_URL = "/static/"
STATIC_ROOT = ENVIRONMENT.home / "static"
STATICFILES_DIRS = [WEB / "static", ("fonts", str(font_folder()))]
STORAGES: dict[str, dict[str, Any]] = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
}
WHITENOISE_SKIP_COMPRESS_EXTENSIONS = ["png", "ttf", "woff2", "gz", "br"]  # kept by the browser for good
MEDIA_ROOT = ENVIRONMENT.home / "documents"
FILE_UPLOAD_PERMISSIONS = 0o600
FILE_UPLOAD_MAX_MEMORY_SIZE = 2_000_000
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 3000

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"plain": {"format": "{asctime} {levelname} {name} {message}", "style": "{"}},
    "filters": {"in one line": {"()": "ropewright.web.logs.RefusedInOneLine"}},
    "handlers": {
        "stderr": {"class": "logging.StreamHandler", "formatter": "plain", "filters": ["in one line"]}
    },
    "root": {"handlers": ["stderr"], "level": "WARNING"},
    "loggers": {"axes": {"level": "ERROR"}},
}
