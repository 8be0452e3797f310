"""Every switch of Misho, typed, from the environment. One file, no guess of where it runs."""

from pathlib import Path

import dj_database_url
from django.utils.functional import lazy

from nursery import env, secret

BASE_DIR = Path(__file__).resolve().parent.parent
#: Everything that must be kept: database, photos, keys, backups.
DATA_DIR = env.folder("MISHO_DATA", BASE_DIR / "data")

DEBUG = env.flag("MISHO_DEBUG", False)
SECRET_KEY = secret.key(DATA_DIR)
ALLOWED_HOSTS = env.words("MISHO_HOSTS", ["*"])
CSRF_TRUSTED_ORIGINS = env.words("MISHO_ORIGINS", [])
#: Set when the site is reached by https (directly or through a proxy): cookies are then sent by https only.
SECURE = env.flag("MISHO_SECURE", False)

INSTALLED_APPS = [
    "frontend.apps.FrontendConfig",  # before pwa: its manifest.json template wins
    "pwa",
    "api.apps.ApiConfig",
    "fixtures_demo.apps.DemoConfig",
    "nursery.apps.NurseryConfig",
    "rest_framework",
    "drf_spectacular",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "frontend.policy.ContentPolicy",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "frontend.language.Language",  # after sessions and before all that speaks
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]

ROOT_URLCONF = "nursery.urls"
WSGI_APPLICATION = "nursery.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [],
        "APP_DIRS": True,
        "OPTIONS": {
            # Each page speaks through a catalogue.
            "builtins": ["django.templatetags.i18n", "django.templatetags.l10n"],
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "django.template.context_processors.i18n",
                "frontend.context.house",
            ],
        },
    },
]

# SQLite: FULL, because an acknowledgement lets a phone forget; IMMEDIATE, so that a writer never finds
# its snapshot stale half way; WAL, so that readers never wait for a writer.
DATABASES = {"default": dj_database_url.config(default=f"sqlite:///{DATA_DIR / 'misho.sqlite3'}")}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        # A phone that comes home brings a day of records: ``serve`` folds the log in each minute, beside the
        # pushes; a push does so only at 32,000 pages (128 MB), so that it cannot grow for ever.
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA cache_size=-65536;"
        " PRAGMA wal_autocheckpoint=32000;",
    }
elif DATABASES["default"]["ENGINE"] == "django.db.backends.postgresql":
    # A phone is asked to come again instead of waiting for ever behind a stuck writer; as long as on SQLite.
    DATABASES["default"].setdefault("OPTIONS", {}).setdefault("options", "-c lock_timeout=20s")
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "/sign-in/"
LOGIN_REDIRECT_URL = "/"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 30
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = SECURE
CSRF_COOKIE_SECURE = SECURE
CSRF_FAILURE_VIEW = "frontend.views.errors.stale_form"
SECURE_SSL_REDIRECT = SECURE
# A day: long enough to keep a phone on https between walks, short enough to undo a mistake. Never for the
# grower's other host names, so neither subdomains nor browsers' preload lists.
SECURE_HSTS_SECONDS = 86_400 if SECURE else 0
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
SECURE_REFERRER_POLICY = "same-origin"
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if env.flag("MISHO_PROXY", False) else None
X_FRAME_OPTIONS = "DENY"

#: The language of the sources, and of all who ask for none of LANGUAGES.
LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("de", "Deutsch")]
LANGUAGE_COOKIE_AGE = 60 * 60 * 24 * 365
LANGUAGE_COOKIE_SAMESITE = "Lax"
LANGUAGE_COOKIE_SECURE = SECURE
#: How days and numbers are written in each of them.
FORMAT_MODULE_PATH = "frontend.formats"
TIME_ZONE = env.text("MISHO_TIME_ZONE", "UTC")
USE_I18N = True
USE_TZ = True

STATIC_URL = "/static/"
STATIC_ROOT = DATA_DIR / "static"
MEDIA_ROOT = DATA_DIR / "photos"
DIST_DIR = BASE_DIR / "frontend" / "dist"
STATICFILES_DIRS = [DIST_DIR] if DIST_DIR.is_dir() else []
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "frontend.storage.ShedStorage"},
}
# Names with a hash of the content in them never change: ours (12 hex digits) and Vite's (all of assets/).
WHITENOISE_IMMUTABLE_FILE_TEST = r"^/static/(assets/.+|.+\.[0-9a-f]{12}\.[^/]+)$"

# A push is at most 512 KB by the protocol; four times that leaves room for old phones, and no more.
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
FILE_UPLOAD_HANDLERS = [
    "frontend.uploads.Bounded",
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "django.core.files.uploadhandler.TemporaryFileUploadHandler",
]

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["api.authentication.PhoneAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "api.errors.answer",
    "UNAUTHENTICATED_USER": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Misho",
    "DESCRIPTION": "How a phone hands records over at the shed and fetches standings.",
    "VERSION": "1",
    "SERVE_INCLUDE_SCHEMA": False,
}


def _static(path: str) -> str:
    from django.templatetags.static import static

    return static(path)


_static_later = lazy(_static, str)

PWA_APP_NAME = "Misho"
PWA_APP_THEME_COLOR = "#27463a"
PWA_APP_BACKGROUND_COLOR = "#f7f2e6"
PWA_APP_DISPLAY = "standalone"
PWA_APP_SCOPE = "/"
PWA_APP_ORIENTATION = "any"
PWA_APP_START_URL = "/bench/"
PWA_APP_DEBUG_MODE = False
PWA_APP_SPLASH_SCREEN: list[dict[str, str]] = []
PWA_APP_ICONS = [
    {"src": _static_later("icons/misho-192.png"), "sizes": "192x192"},
    {"src": _static_later("icons/misho-512.png"), "sizes": "512x512"},
]
PWA_SERVICE_WORKER_PATH = str(DIST_DIR / "worker.js")

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s: %(message)s"}},
    "handlers": {"err": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["err"], "level": env.text("MISHO_LOG", "WARNING")},
}
