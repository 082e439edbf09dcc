"""Django settings: wiring only; values that differ between machines come from coachdesk.env."""

from typing import Any

import dj_database_url
from csp.constants import NONE, SELF

from coachdesk.env import BASE, read_env

ENV = read_env()

SECRET_KEY = ENV.secret_key
DEBUG = False
ALLOWED_HOSTS = list(ENV.hosts)

INSTALLED_APPS = [
    "coachdesk",
    "coachdesk.practice",
    "clients",
    "programs",
    "programs.logs",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_htmx",
    "template_partials.apps.SimpleAppConfig",
    "csp",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "coachdesk.practice.doors.SignInRequired",
    "coachdesk.practice.doors.DeskMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]

ROOT_URLCONF = "coachdesk.urls"
WSGI_APPLICATION = "coachdesk.wsgi.application"

_LOADERS = [
    (
        "template_partials.loader.Loader",
        [
            (
                "django.template.loaders.cached.Loader",
                ["django.template.loaders.filesystem.Loader", "django.template.loaders.app_directories.Loader"],
            )
        ],
    )
]
TEMPLATES: list[dict[str, Any]] = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE / "templates"],
        "OPTIONS": {
            "loaders": _LOADERS,
            "builtins": ["template_partials.templatetags.partials", "coachdesk.templatetags.desk"],
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.messages.context_processors.messages",
                "coachdesk.practice.doors.desk_context",
                "coachdesk.management.backups.banner.backup_context",
            ],
        },
    }
]

DATABASES: dict[str, dict[str, Any]] = {"default": dict(dj_database_url.parse(ENV.database_url))}
_db = DATABASES["default"]
if _db["ENGINE"] == "django.db.backends.sqlite3":
    # FULL: with NORMAL an acknowledged row can be lost at power loss. IMMEDIATE: deferred ones fail when contended.
    # secure_delete: what is deleted is overwritten in the file.
    _db["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;"
        "PRAGMA secure_delete=ON;",
    }
    _db["TEST"] = {"NAME": str(ENV.home / "test.sqlite3")}
else:
    # What the address itself asks for, such as a socket's folder or sslmode, stays.
    _db["OPTIONS"] = {
        **_db.get("OPTIONS", {}),
        "options": "-c lock_timeout=20s -c statement_timeout=60s -c idle_in_transaction_session_timeout=60s",
        "pool": {"min_size": 1, "max_size": 8},
    }
# Ids of erased clients: outside the database, so that no backup brings anybody back.
ERASED_IDS = ENV.home / "erased-ids"
BACKUPS = ENV.home / "backups"
# Long work goes on in a thread behind the page that began it; tests do it in the foreground.
WORK_BEHIND_PAGES = True
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "practice.User"
AUTHENTICATION_BACKENDS = ["coachdesk.practice.doors.DeskBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "practice:sign_in"
LOGIN_REDIRECT_URL = "logs:roster"

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_I18N = True
USE_TZ = True

STATIC_URL = "/static/"
STATIC_ROOT = ENV.home / "static"
STATIC_ROOT.mkdir(exist_ok=True)  # whitenoise warns when it is missing
STATICFILES_DIRS = [BASE / "static"]
# Served from their sources: no collectstatic step stands between a clone and the first page.
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False
WHITENOISE_MAX_AGE = 3600

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CONTENT_TYPE_NOSNIFF = True
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_AGE = 14 * 24 * 3600
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_HTTPONLY = False
CSRF_FAILURE_VIEW = "coachdesk.views.csrf_failure"
DATA_UPLOAD_MAX_NUMBER_FIELDS = 1000
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
# In a cookie: a line about what was saved must not need a second write, which may fail after the first succeeded.
MESSAGE_STORAGE = "django.contrib.messages.storage.fallback.FallbackStorage"

if ENV.served:
    SECURE_SSL_REDIRECT = True
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_HSTS_SECONDS = 365 * 24 * 3600
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
    CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in ENV.hosts]

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s %(message)s"}},
    "filters": {"no_tokens": {"()": "coachdesk.redact.NoTokens"}},
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "line", "filters": ["no_tokens"]}},
    # Django's own server for development prints every address past the root.
    "loggers": {"django.server": {"handlers": ["stderr"], "level": "INFO", "propagate": False}},
    "root": {"handlers": ["stderr"], "level": "WARNING"},
}
