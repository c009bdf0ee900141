"""Settings of the project. README.md here lists the environment variables; checks.py catches mistakes."""

import os
from pathlib import Path
from typing import Any

import dj_database_url
from csp.constants import NONE, SELF

from wps.file_settings import *  # noqa: F403
from wps.local_files import make_private_folder, secret_key, time_zone
from wps.sign_in_settings import *  # noqa: F403

BASE_DIR = Path(__file__).resolve().parent.parent


def _is_on(name: str) -> bool:
    return os.environ.get(name, "").strip().lower() in {"1", "yes", "on", "true"}


LOCAL_DIR = make_private_folder(Path(os.environ.get("CTP_DATA") or BASE_DIR / ".local").resolve())
SECRET_KEY = secret_key(LOCAL_DIR / "secret_key")
DEBUG = _is_on("CTP_DEBUG")
FURTHER_HOSTS = os.environ.get("CTP_HOSTS", "").replace(",", " ").split()
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", *FURTHER_HOSTS]

INSTALLED_APPS = [
    "wps",
    "qualification",
    "axes",
    "crispy_forms",
    "csp",
    "django_otp.plugins.otp_static",
    "django_otp.plugins.otp_totp",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "wps.reader_language.ReaderLanguage",
    "wps.sign_in_ends.SignInEnds",
    "wps.request_limits.RequestLimits",
    "wps.session_ended.SessionEnded",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "axes.middleware.AxesMiddleware",
    "wps.taken_meanwhile.TakenMeanwhile",
]

ROOT_URLCONF = "wps.urls"
WSGI_APPLICATION = "wps.wsgi.application"

TEMPLATES: list[dict[str, Any]] = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "wps.context.shell",
            ],
            "builtins": ["django.templatetags.i18n", "qualification.templatetags.tongues"],
        },
    }
]
FORM_RENDERER = "qualification.forms.told_renderer.ToldRenderer"
CRISPY_ALLOWED_TEMPLATE_PACKS = "shop"
CRISPY_TEMPLATE_PACK = "shop"
CRISPY_FAIL_SILENTLY = False

# The default is no URL: a # or ? in the folder's name would cut its path short there.
SQLITE = {"ENGINE": "django.db.backends.sqlite3", "NAME": LOCAL_DIR / "shop.sqlite3"}
DATABASES = {"default": dj_database_url.config() if os.environ.get("DATABASE_URL") else SQLITE}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # A record under a signature must survive a power cut (full sync), and two people saving at once
    # must wait for each other instead of failing half way (immediate transactions).
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;",
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

LANGUAGE_CODE = "en"
FORMAT_MODULE_PATH = "qualification.tongues.formats"
LANGUAGES = [("en", "English"), ("fr", "Français"), ("de", "Deutsch")]
USE_TZ = True
TIME_ZONE = os.environ.get("CTP_TIME_ZONE") or time_zone(LOCAL_DIR / "time_zone")

MEDIA_ROOT = LOCAL_DIR / "media"
ISSUED_DIR = LOCAL_DIR / "issued"  # documents and attachments under their hash, never rewritten
AUTHORITY_DIR = LOCAL_DIR / "authority"
AUDIT_KEY_FILE = LOCAL_DIR / "audit_key"  # seals the audit trail; never in the database
CHECKS_DIR = LOCAL_DIR / "checks"  # files brought to be checked, until they are
ADDRESS = os.environ.get("CTP_ADDRESS", "").strip().rstrip("/")  # goes before what the shop entered
WHITENOISE_AUTOREFRESH = DEBUG

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF],
        "frame-src": [SELF],
        "font-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "object-src": [NONE],
    }
}
X_FRAME_OPTIONS = "DENY"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
SESSION_COOKIE_HTTPONLY = CSRF_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_AGE = 12 * 60 * 60  # one long shift
# Besides files; a record of 20 lines with all its fields has some 2,000 of them in 200 kB.
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_000_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5_000
DATA_UPLOAD_MAX_NUMBER_FILES = 200  # more than an import takes at once, so that it can say so
CSRF_FAILURE_VIEW = "wps.views.errors.form_expired"

BEHIND_PROXY = _is_on("CTP_HTTPS")
SHARED_AT = os.environ.get("CTP_SHARED_AT", "").strip()  # set by `manage.py serve --share` for its server
HTTPS = BEHIND_PROXY or bool(SHARED_AT)
HTTPS_DIR = LOCAL_DIR / "https"  # the network's authority, and the server's certificate
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = HTTPS
# Not where the shop's own authority vouches: a browser that does not know it could never be let in again.
SECURE_HSTS_SECONDS = 31_536_000 if BEHIND_PROXY else 0
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if BEHIND_PROXY else None
