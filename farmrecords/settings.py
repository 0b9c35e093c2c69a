"""Settings of the project: development defaults here, production values from the environment.

A missing or bad production value stops the start with the variable's name and what is accepted.
"""

from pathlib import Path

import environ
from csp.constants import SELF
from django.core.exceptions import ImproperlyConfigured
from django.utils.translation import gettext_lazy as _

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(environ.Env().str("FARMRECORDS_DATA", default=str(BASE_DIR / ".data")))

env = environ.Env()
DEBUG = env.bool("DEBUG", default=False)

# Without a key of its own the server may only be used on this machine (the demo, the tests).
LOCAL_HOSTS = ["localhost", "127.0.0.1", "[::1]"]
SECRET_KEY = env.str("SECRET_KEY", default="")
ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", default=LOCAL_HOSTS)
LOCAL_ONLY = not SECRET_KEY
if LOCAL_ONLY:
    if ALLOWED_HOSTS != LOCAL_HOSTS:
        raise ImproperlyConfigured(
            "SECRET_KEY is not set. Set it to at least 50 random characters before ALLOWED_HOSTS "
            f"names a host beyond this machine (given: {', '.join(ALLOWED_HOSTS)})."
        )
    SECRET_KEY = "only-for-this-machine-" + "local" * 12
elif len(SECRET_KEY) < 50:
    raise ImproperlyConfigured(
        f"SECRET_KEY has {len(SECRET_KEY)} characters; at least 50 random characters are needed."
    )

INSTALLED_APPS = [
    "farmrecords",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "crispy_forms",
    "crispy_bootstrap5",
    "django_htmx",
    "django_filters",
    "django_tasks",
    "django_tasks_db",
    "csp",
    "axes",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "farmrecords.urls"
WSGI_APPLICATION = "farmrecords.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.template.context_processors.i18n",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "farmrecords.people.context.page",
            ],
        },
    },
]

DATABASES = {
    "default": env.db_url("DATABASE_URL", default=f"sqlite:///{DATA_DIR / 'farmrecords.sqlite3'}")
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    DATA_DIR.mkdir(parents=True, exist_ok=True)  # a fresh checkout has none, SQLite makes no folder
    # IMMEDIATE takes the write lock before the first read, so that two writers never both read the
    # same head of a log; FULL because a receipt given to a phone must survive a power cut.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": (
            "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA cache_size=-20000;"
        ),
    }
else:
    DATABASES["default"]["CONN_MAX_AGE"] = 60

AUTH_USER_MODEL = "farmrecords.Person"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "sign_in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "sign_in"
AXES_FAILURE_LIMIT = 10
AXES_COOLOFF_TIME = 0.25  # hours
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False  # who is held is held no longer than that
AXES_HANDLER = "farmrecords.people.throttle.Throttle"
AXES_CLIENT_IP_CALLABLE = "farmrecords.people.throttle.source_of"
FAILURES_PER_SOURCE = 50
AXES_LOCKOUT_TEMPLATE = "people/locked_out.html"
PASSWORD_RESET_TIMEOUT = 3600

LANGUAGE_CODE = "en-us"
LANGUAGES = [("en", _("English")), ("es", _("Spanish"))]
# The words of the pages, then the words of the rules (see manage.py makemessages).
LOCALE_PATHS = [BASE_DIR / "farmrecords" / "locale", BASE_DIR / "farmrecords" / "locale_rules"]
FORMAT_MODULE_PATH = ["farmrecords.formats_l10n"]
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"
USE_THOUSAND_SEPARATOR = True

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
STATICFILES_DIRS = [BASE_DIR / "static"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"
        if not LOCAL_ONLY
        else "django.contrib.staticfiles.storage.StaticFilesStorage"
    },
}
WHITENOISE_USE_FINDERS = LOCAL_ONLY
WHITENOISE_AUTOREFRESH = LOCAL_ONLY
MEDIA_ROOT = DATA_DIR / "media"

CRISPY_ALLOWED_TEMPLATE_PACKS = "bootstrap5"
CRISPY_TEMPLATE_PACK = "bootstrap5"

TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}

# The demonstration stands on one fixed day; None in real use.
FARMRECORDS_DAY = env.str("FARMRECORDS_DAY", default="") or None

# A folder with one folder for each draft of the rules that planners may compare with; none.
FARMRECORDS_DRAFT_RULES = env.str("FARMRECORDS_DRAFT_RULES", default="") or None
MAP_TILE_URL = env.str("MAP_TILE_URL", default="")
MAP_TILE_ATTRIBUTION = env.str("MAP_TILE_ATTRIBUTION", default="")

# The public weather service is asked only when its address is set; answers are kept as seen.
WEATHER_SERVICE_URL = env.str("WEATHER_SERVICE_URL", default="")
WEATHER_SERVICE_AGENT = env.str("WEATHER_SERVICE_AGENT", default="farmrecords")

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "worker-src": [SELF],
        "object-src": ["'none'"],
        "base-uri": [SELF],
        "form-action": [SELF],
        "frame-ancestors": ["'none'"],
    }
}
if MAP_TILE_URL:
    CONTENT_SECURITY_POLICY["DIRECTIVES"]["img-src"].append(
        "/".join(MAP_TILE_URL.split("/")[:3]).replace("{s}", "*")
    )

SESSION_COOKIE_AGE = 7 * 24 * 3600
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = not LOCAL_ONLY
CSRF_COOKIE_SECURE = not LOCAL_ONLY
SECURE_SSL_REDIRECT = not LOCAL_ONLY
SECURE_HSTS_SECONDS = 0 if LOCAL_ONLY else 63_072_000
SECURE_HSTS_INCLUDE_SUBDOMAINS = not LOCAL_ONLY
SECURE_HSTS_PRELOAD = not LOCAL_ONLY
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
BEHIND_PROXY = env.bool("BEHIND_PROXY", default=False)
if BEHIND_PROXY:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

DATA_UPLOAD_MAX_MEMORY_SIZE = 20 * 1024 * 1024
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2000

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "loggers": {
        "django.request": {"handlers": ["console"], "level": "ERROR", "propagate": False},
        "axes": {"handlers": ["console"], "level": "ERROR", "propagate": False},
    },
}
SILENCED_SYSTEM_CHECKS: list[str] = []
