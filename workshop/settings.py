"""Settings of the house. Everything that differs between machines comes from the environment.

Reading them changes nothing: what must be there first is made by ``workshop/prepare.py``.
"""

from __future__ import annotations

from pathlib import Path
from urllib.parse import urlsplit

import dj_database_url
from csp.constants import NONE, SELF

from workshop.env import env_bool, env_hour, env_int, env_list, env_secret, env_str
from workshop.places import (
    BASE_DIR,
    BUNDLED,
    DATA_DIR,
    LOCALE,
    SEAL_FILE,
    SEAL_NAME,
    SECRET_FILE,
    SECRET_NAME,
    STATIC,
)

DEBUG = env_bool("SAUTEREAU_DEBUG")
SECRET_KEY = env_secret(SECRET_NAME, kept_in=SECRET_FILE)

# The private key that signs papers, with its certificate; without the file they go out unsigned.
SEAL_KEY_FILE = Path(env_str(SEAL_NAME) or SEAL_FILE)
# Where time stamps after RFC 3161 are asked for; without an address none is.
STAMP_SERVER = env_str("SAUTEREAU_STAMP_SERVER")

# The address that labels and papers carry; phones on the workshop's network open it.
SITE_ADDRESS = env_str("SAUTEREAU_ADDRESS", "http://127.0.0.1:8000").rstrip("/")
ALLOWED_HOSTS = [
    *env_list("SAUTEREAU_ALLOWED_HOSTS"),
    urlsplit(SITE_ADDRESS).hostname or "",
    "127.0.0.1",
    "localhost",
]
# How many proxies of ours stand in front: the visitor's address is what the outermost one saw.
PROXIES = env_int("SAUTEREAU_PROXIES", 0)
CSRF_TRUSTED_ORIGINS = [SITE_ADDRESS]

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "django_htmx",
    "repairs",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "repairs.screens.middleware.PackingMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "repairs.screens.caching.PrivateMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "repairs.screens.body_size.BodySizeMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "repairs.people.middleware.PersonMiddleware",
    "repairs.screens.middleware.RefusalMiddleware",
    "repairs.screens.middleware.DraftMiddleware",
    "repairs.screens.once_middleware.OnceMiddleware",
    "repairs.screens.beside.BesideMiddleware",
]
ROOT_URLCONF = "workshop.urls"
WSGI_APPLICATION = "workshop.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "builtins": ["repairs.screens.guard_tags"],
            "libraries": {
                f"{room}_words": f"repairs.{room}.filters"
                for room in (
                    "screens",
                    "press",
                    "instruments",
                    "photos",
                    "findings",
                    "readings",
                    "estimates",
                    "papers",
                )
            }
            | {"drawings": "repairs.screens.drawing_tags"},
            "context_processors": [
                "django.template.context_processors.request",
                "django.template.context_processors.i18n",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "repairs.people.context.house",
            ],
        },
    }
]

DATABASES = {
    "default": dj_database_url.parse(
        env_str("DATABASE_URL") or f"sqlite:///{DATA_DIR / 'casebook.sqlite3'}",
        conn_max_age=60,
        # A server of the database that was started anew costs nobody a page.
        conn_health_checks=True,
    )
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # WAL, IMMEDIATE and a long timeout belong together: with any of the three missing,
    # WAL, IMMEDIATE and a long timeout belong together: with any of the three missing, two people
    # saving at once are told that the database is locked. FULL, since in WAL NORMAL may lose what
    # was said to be saved when the power fails (sqlite.org/pragma.html, “synchronous”).
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": (
            "PRAGMA journal_mode=WAL;PRAGMA synchronous=FULL;PRAGMA foreign_keys=ON;"
            "PRAGMA temp_store=MEMORY;PRAGMA mmap_size=268435456;PRAGMA cache_size=-65536;"
            "PRAGMA journal_size_limit=67108864;"
        ),
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "repairs.User"
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
LOGIN_URL = "people:sign_in"
LOGIN_REDIRECT_URL = "bench:home"
LOGOUT_REDIRECT_URL = "people:sign_in"

LANGUAGE_CODE = env_str("SAUTEREAU_LANGUAGE", "fr")
LANGUAGES = [("fr", "Français"), ("en", "English")]  # as their own readers call them
LOCALE_PATHS = [LOCALE]
USE_I18N = True
USE_TZ = True
TIME_ZONE = env_str("SAUTEREAU_TIME_ZONE", "Europe/Paris")
FORMAT_MODULE_PATH = ["repairs.formats"]

STATIC_URL = "static/"
STATIC_ROOT = STATIC
STATICFILES_DIRS = [BUNDLED]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "repairs.screens.static_files.HouseStatic"},
}
WHITENOISE_USE_FINDERS = True
MEDIA_ROOT = DATA_DIR / "media"
FIXTURES = BASE_DIR / "fixtures"

# Photos are sent in pieces; a whole form may carry some forty originals of 10 MB.
DATA_UPLOAD_MAX_MEMORY_SIZE = 24 * 1024 * 1024  # a pasted climate log of 300,000 rows
FILE_UPLOAD_MAX_MEMORY_SIZE = 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FILES = 200
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000  # a table of a thousand parts with four fields each
# Of who signed in; strangers may send far less (screens/body_size.py).
BODY_MAX_BYTES = env_int("SAUTEREAU_BODY_MAX_MB", 640) * 1024 * 1024
# The bench says so when less is left on the disk of the data.
SPACE_LOW_BYTES = env_int("SAUTEREAU_SPACE_LOW_MB", 2048) * 1024 * 1024
PHOTO_MAX_BYTES = env_int("SAUTEREAU_PHOTO_MAX_MB", 60) * 1024 * 1024
PHOTO_MAX_PIXELS = env_int("SAUTEREAU_PHOTO_MAX_MEGAPIXELS", 120) * 1_000_000
JOBS_IN_PROCESS = env_bool("SAUTEREAU_JOBS_IN_PROCESS", default=True)

# Backups: to a folder outside the data, at an hour of every day; without a folder none is made.
BACKUP_TO = env_str("SAUTEREAU_BACKUP_TO")
BACKUP_AT = env_hour("SAUTEREAU_BACKUP_AT", "02:30")
BACKUP_KEEP = env_int("SAUTEREAU_BACKUP_KEEP", 30)
BACKUP_RECIPIENTS = env_list("SAUTEREAU_BACKUP_RECIPIENTS")
BACKUP_PASSPHRASE_FILE = env_str("SAUTEREAU_BACKUP_PASSPHRASE_FILE")
BACKUP_MOST_DAYS = env_int("SAUTEREAU_BACKUP_MOST_DAYS", 2)

# Without a host nothing is sent, and whoever tries is told so.
EMAIL_HOST = env_str("SAUTEREAU_MAIL_HOST")
EMAIL_PORT = env_int("SAUTEREAU_MAIL_PORT", 587)
EMAIL_HOST_USER = env_str("SAUTEREAU_MAIL_USER")
EMAIL_HOST_PASSWORD = env_str("SAUTEREAU_MAIL_PASSWORD")
EMAIL_USE_TLS = env_bool("SAUTEREAU_MAIL_STARTTLS", default=True)
EMAIL_TIMEOUT = 20
EMAIL_BACKEND = (
    "django.core.mail.backends.smtp.EmailBackend"
    if EMAIL_HOST
    else "django.core.mail.backends.console.EmailBackend"
)
DEFAULT_FROM_EMAIL = env_str("SAUTEREAU_MAIL_FROM")

# Where the head of the log is sent every day, so that it lies outside the house.
HEAD_TO = env_list("SAUTEREAU_HEAD_TO")

# The certificate of the house's own authority: phones take it from /trust/, which they open before
# they trust it.
AUTHORITY_FILE = env_str("SAUTEREAU_AUTHORITY")

HTTPS = SITE_ADDRESS.startswith("https://")
SECURE_SSL_REDIRECT = HTTPS
SECURE_REDIRECT_EXEMPT = [r"^trust/", rf"^{STATIC_URL}"] if AUTHORITY_FILE else []
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = HTTPS
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS else None
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SESSION_COOKIE_AGE = 60 * 60 * 24 * 14
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:", "blob:"],
        "style-src": [SELF],
        "script-src": [SELF],
        "object-src": [NONE],
        "base-uri": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    }
}
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {
            "()": "repairs.language.masking.MaskingFormatter",
            "format": "%(asctime)s %(levelname)s %(name)s: %(message)s",
        }
    },
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["stderr"], "level": env_str("SAUTEREAU_LOG", "WARNING")},
    # Django gives these two handlers of their own, which would say the whole address.
    "loggers": {
        "django": {"handlers": []},
        "django.server": {"handlers": ["stderr"], "propagate": False, "level": "INFO"},
    },
}
