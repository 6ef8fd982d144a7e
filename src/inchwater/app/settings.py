"""Django's settings, from the environment: where the records are and who may come in.

``INCHWATER_DATA`` (folder), ``INCHWATER_DATABASE_URL`` (PostgreSQL), ``INCHWATER_SECRET_KEY``,
``INCHWATER_LOCAL`` (``no``: signed-in users instead of the single local one) and
``INCHWATER_HOSTS`` (names that it answers to besides the loopback address, with commas).
"""

from __future__ import annotations

import os
from pathlib import Path

from django.utils.functional import SimpleLazyObject

from inchwater.app.data_folder import secret_key
from inchwater.app.database import database

_APP = Path(__file__).parent
_HOSTS = [host.strip() for host in os.environ.get("INCHWATER_HOSTS", "").split(",") if host.strip()]

# One person on their own machine: no sign-in, and only the loopback address is answered.
LOCAL_MODE = os.environ.get("INCHWATER_LOCAL", "yes").lower() not in ("no", "0", "false")

DEBUG = False
# Lazy, so that reading the settings (type checker, tests) makes no file.
SECRET_KEY = SimpleLazyObject(secret_key)
ALLOWED_HOSTS = ["127.0.0.1", "localhost", "[::1]", *([] if LOCAL_MODE else _HOSTS)]

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_htmx",
    "inchwater.app.core",
    "inchwater.app.firms",
    "inchwater.app.systems",
    "inchwater.app.visits",
    "inchwater.app.practice",
    "inchwater.app.offers",
    "inchwater.app.work",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "inchwater.app.core.middleware.ContentPolicy",
    "inchwater.app.core.middleware.WholeFiles",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "inchwater.app.core.middleware.Errors",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "inchwater.app.firms.middleware.FirmOfRequest",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]

ROOT_URLCONF = "inchwater.app.urls"
ASGI_APPLICATION = "inchwater.app.asgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [_APP / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "inchwater.app.firms.context.firm",
            ]
        },
    }
]

DATABASES = {"default": database(os.environ.get("INCHWATER_DATABASE_URL"))}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
AUTH_USER_MODEL = "firms.User"

LANGUAGE_CODE = "en-us"
USE_I18N = False
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "/static/"
STATICFILES_DIRS = [folder for folder in [_APP / "static"] if folder.is_dir()]
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False
WHITENOISE_ALLOW_ALL_ORIGINS = False

# A blower table is a few kilobytes and a job with its readings some hundred.
UPLOAD_LIMIT = 4 * 2**20
DATA_UPLOAD_MAX_MEMORY_SIZE = FILE_UPLOAD_MAX_MEMORY_SIZE = UPLOAD_LIMIT

SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_FAILURE_VIEW = "inchwater.app.core.errors.csrf_failure"
# Behind https, which only the served mode has; the loopback address has no certificate.
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = not LOCAL_MODE
SECURE_PROXY_SSL_HEADER = None if LOCAL_MODE else ("HTTP_X_FORWARDED_PROTO", "https")

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["stderr"], "level": "WARNING"},
    # A refused request is told to who sent it; only faults of ours are for the log.
    "loggers": {"django.request": {"level": "ERROR"}},
}
