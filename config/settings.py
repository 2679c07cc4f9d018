"""Settings: everything has a working default; the environment overrides it.

DATABASE_URL   PostgreSQL or SQLite; without it a SQLite file in var/
SECRET_KEY     without it one is made and kept in var/
ALLOWED_HOSTS  comma separated; by default this machine alone
REDIS_URL      the broker of the workers; whoever answers requests never asks it
HTTPS          whether plain requests are sent on to https: unless all hosts are this machine
BEHIND_PROXY   whether a proxy of ours says by X-Forwarded-Proto how it was asked, and by
               X-Forwarded-For from where
"""

import os
from pathlib import Path

import environ
from csp import constants as csp
from django.core.exceptions import ImproperlyConfigured

from config import secret
from config.headers import always_asked_for
from config.logs import LOGGING as LOGGING

BASE_DIR = Path(__file__).resolve().parent.parent
VAR_DIR = BASE_DIR / "var"

env = environ.Env()

DEBUG = False  # its pages would show routes, and names of children
SECRET_KEY = env.str("SECRET_KEY", default="") or secret.kept(VAR_DIR / "secret_key")
THIS_MACHINE = {"127.0.0.1", "localhost", "[::1]"}
ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", default=["127.0.0.1", "localhost"])

INSTALLED_APPS = [
    "django.contrib.contenttypes",
    "django.contrib.auth",
    "django.contrib.sessions",
    "allauth.account",
    "allauth.headless",
    "csp",
    "rest_framework",
    "knox",
    "drf_spectacular",
    "accounts",
    "curriculum",
    "classes",
    "planning",
    "api",
    "demo",
    "config",
]
HTTPS = env.bool("HTTPS", default=not THIS_MACHINE.issuperset(ALLOWED_HOSTS))
BEHIND_PROXY = env.bool("BEHIND_PROXY", default=False)

MIDDLEWARE = [
    "config.requests.Requests",
    "django.middleware.security.SecurityMiddleware",
    "config.headers.Headers",
    "csp.middleware.CSPMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "allauth.account.middleware.AccountMiddleware",
]
SECURE_SSL_REDIRECT = SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SECURE_REDIRECT_EXEMPT = [r"^(livez|readyz)\Z"]  # asked from the machine itself
if BEHIND_PROXY:
    MIDDLEWARE.insert(0, "config.proxy.ClientAddress")
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = HTTPS
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [csp.NONE],
        "script-src": [csp.SELF],
        "style-src": [csp.SELF],
        "img-src": [csp.SELF, "data:"],
        "connect-src": [csp.SELF],
        "font-src": [csp.SELF],
        "manifest-src": [csp.SELF],
        "worker-src": [csp.SELF],
        "form-action": [csp.SELF],
        "base-uri": [csp.NONE],
        "frame-ancestors": [csp.NONE],
        "require-trusted-types-for": ["'script'"],
        # The client's own, for its service worker, and that of the library it is drawn with.
        "trusted-types": ["counterpoise", "svelte-trusted-html"],
    }
}

# Signing in with a browser. Nobody signs up by herself, and nobody is mailed.
AUTH_USER_MODEL = "accounts.Account"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]
HEADLESS_ONLY = True
HEADLESS_CLIENTS = ["browser"]
ACCOUNT_ADAPTER = "accounts.adapter.Adapter"
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*"]
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_EMAIL_VERIFICATION = "none"
# For a network, and for an email from one network: nobody keeps a teacher out from elsewhere.
ACCOUNT_RATE_LIMITS = {
    "login": "30/m/ip",
    "login_failed": "10/m/ip,5/5m/key",
    "change_password": "5/m/user",
}
# They are counted where all web processes see it; `migrate` makes the table.
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.db.DatabaseCache",
        "LOCATION": "cache",
        "OPTIONS": {"MAX_ENTRIES": 100_000},
    }
}
SESSION_COOKIE_AGE = 12 * 3600  # unless she stays signed in: `accounts.sessions`
SESSION_COOKIE_NAME = "__Host-sessionid" if HTTPS else "sessionid"
CSRF_COOKIE_NAME = "__Host-csrftoken" if HTTPS else "csrftoken"
CSRF_FAILURE_VIEW = "api.errors.not_our_page"
KNOX_TOKEN_MODEL = "accounts.Token"  # noqa: S105, a model and no secret
MIGRATION_MODULES = {"knox": None}  # its own table is not ours: `accounts.Token` is

# What vite has built of web/; the files are listed when the process starts.
WEB_BUILT = BASE_DIR / "web" / "built"
WHITENOISE_ROOT = WEB_BUILT if WEB_BUILT.is_dir() else None
WHITENOISE_MAX_AGE = 3600
WHITENOISE_ALLOW_ALL_ORIGINS = False
WHITENOISE_MIMETYPES = {".webmanifest": "application/manifest+json"}
WHITENOISE_IMMUTABLE_FILE_TEST = r"^/assets/"
WHITENOISE_ADD_HEADERS_FUNCTION = always_asked_for

TEMPLATES = [
    {"BACKEND": "django.template.backends.django.DjangoTemplates", "APP_DIRS": True, "OPTIONS": {}}
]

DATABASES = {
    "default": env.db_url("DATABASE_URL", default=f"sqlite:///{VAR_DIR / 'counterpoise.sqlite3'}")
}
if DATABASES["default"].get("ENGINE") not in (
    "django.db.backends.sqlite3",
    "django.db.backends.postgresql",
):
    raise ImproperlyConfigured(
        "DATABASE_URL should look like postgres://user@host:5432/name or sqlite:///file"
    )
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    VAR_DIR.mkdir(exist_ok=True)
    # A read followed by a write fails at once in deferred mode if another writer came between.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
    }
else:
    DATABASES["default"]["CONN_MAX_AGE"] = None
    DATABASES["default"]["CONN_HEALTH_CHECKS"] = True
    # A row that was acknowledged is on the disk, whatever the server's own setting.
    asked = "-c synchronous_commit=on"
    if os.environ.get("PROCESS") == "web":
        asked += " -c statement_timeout=5000 -c lock_timeout=3000"
    DATABASES["default"]["OPTIONS"] = {"connect_timeout": 5, "options": asked}

ROOT_URLCONF = "config.urls"
APPEND_SLASH = False
REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "api.authentication.TokenMember",
        "api.authentication.SessionMember",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["api.parsers.JSONParser"],
    "DEFAULT_THROTTLE_CLASSES": ["api.throttling.Throttle"],
    "DEFAULT_SCHEMA_CLASS": "api.schema.AutoSchema",
    "EXCEPTION_HANDLER": "api.errors.answer",
    "UNAUTHENTICATED_USER": None,
    "URL_FORMAT_OVERRIDE": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Counterpoise",
    "DESCRIPTION": "A shared progression curriculum, readiness from logged tries, and tonight's"
    " groups for teachers of acrobatic dance.",
    "VERSION": "1",
    "OAS_VERSION": "3.1.1",
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "PATH_CONVERTER_OVERRIDES": {"day": {"type": "string", "format": "date"}},
    "ENUM_GENERATE_CHOICE_DESCRIPTION": False,
    "POSTPROCESSING_HOOKS": ["api.schema.closed", "api.schema.refusals_once"],
}

# A killed worker's task comes back after the visibility timeout; none runs as long as that, so
# none runs twice beside itself. Times of the schedule are UTC.
CELERY_BROKER_URL = env.str("REDIS_URL", default="")
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "visibility_timeout": 300,
    "unacked_restore_interval": 10,
    "unacked_restore_throttle": 1,
    "socket_timeout": 5,
    "socket_connect_timeout": 5,
    "socket_keepalive": True,
    "health_check_interval": 10,
    "retry_on_timeout": False,
    "max_retries": 1,
    "interval_start": 0,
    "interval_step": 0.1,
    "interval_max": 0.1,
}
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_CONNECTION_MAX_RETRIES = None
CELERY_ACCEPT_CONTENT = ["json"]
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_PUBLISH_RETRY = False
# A task that kills its process is sent again with a count, so that it ends.
CELERY_TASK_RETRY_ON_WORKER_LOST = True
CELERY_TASK_REJECT_ON_WORKER_LOST = False
CELERY_TASK_TIME_LIMIT, CELERY_TASK_SOFT_TIME_LIMIT = 240, 210
CELERY_TIMEZONE = "UTC"
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_REDIRECT_STDOUTS = False
CELERY_WORKER_CANCEL_LONG_RUNNING_TASKS_ON_CONNECTION_LOSS = True

DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
USE_TZ = True
TIME_ZONE = "UTC"
LANGUAGE_CODE = "en"
USE_I18N = False
