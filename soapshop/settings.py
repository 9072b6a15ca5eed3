"""One settings file. What differs from machine to machine comes from environment variables (DEVELOPERS.md lists them);
what differs from shop to shop (time zone, currency, units, paper) is the workshop's own row, edited on a page.
"""

import os
import sqlite3
from pathlib import Path

from soapshop.databases import database_from_url, sqlite_database
from soapshop.environment import Environment, kept_secret_key, made_folder

BASE_DIR = Path(__file__).resolve().parent.parent
env = Environment(os.environ)

DEBUG = env.flag("SOAPSHOP_DEBUG", default=False)
DEMO = env.flag("SOAPSHOP_DEMO", default=False)
HTTPS = env.flag("SOAPSHOP_HTTPS", default=False)
# pytest sets PYTEST_VERSION for the length of its run.
TESTING = env.flag("SOAPSHOP_TESTING", default="PYTEST_VERSION" in os.environ)

# The real shop, the demo and the tests never share a folder, so they never share a database or a key.
DATA_DIR = env.folder("SOAPSHOP_DATA_DIR", BASE_DIR / ".data") / ("tests" if TESTING else "demo" if DEMO else "shop")
STATIC_ROOT = made_folder(DATA_DIR / "static")
SECRET_KEY = env.text("SOAPSHOP_SECRET_KEY") or kept_secret_key(DATA_DIR)

ALLOWED_HOSTS = env.hosts("SOAPSHOP_ALLOWED_HOSTS", ("127.0.0.1", "localhost", "[::1]"))

INSTALLED_APPS = [
    "soapshop",
    "formulas",
    "orders",
    "production",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_htmx",
    "crispy_forms",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "soapshop.middleware.ContentPolicyMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "soapshop.middleware.FirstOwnerMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "soapshop.middleware.WorkshopMiddleware",
]

ROOT_URLCONF = "soapshop.urls"
WSGI_APPLICATION = "soapshop.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "soapshop.context.workshop_page",
            ],
        },
    }
]
CRISPY_ALLOWED_TEMPLATE_PACKS = "soap"
CRISPY_TEMPLATE_PACK = "soap"
CRISPY_FAIL_SILENTLY = False

# ── Database ────────────────────────────────────────────────────────────────────────────────────────────────────────
# The demo always has its own file: it never looks at DATABASE_URL, which may name a shop's real database.
_database_url = "" if DEMO else env.text("DATABASE_URL")
DATABASES = {
    "default": (
        database_from_url(_database_url, sqlite_version=sqlite3.sqlite_version_info)
        if _database_url
        else sqlite_database(DATA_DIR / "shop.sqlite3", sqlite_version=sqlite3.sqlite_version_info)
    )
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# ── Planning ────────────────────────────────────────────────────────────────────────────────────────────────────────
# Plans are worked out in a process of their own, so that no page waits; 0 where a host allows no further process.
PLAN_IN_BACKGROUND = env.flag("SOAPSHOP_BACKGROUND", default=not TESTING)

# ── Accounts ────────────────────────────────────────────────────────────────────────────────────────────────────────
AUTH_USER_MODEL = "soapshop.User"
LOGIN_URL = "login"
LOGIN_REDIRECT_URL = "/"
LOGOUT_REDIRECT_URL = "login"
AUTHENTICATION_BACKENDS = ["soapshop.throttle.ThrottledBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "soapshop.passwords.UnlikeThePerson"},
    {"NAME": "soapshop.passwords.LongEnough", "OPTIONS": {"min_length": 10}},
    {"NAME": "soapshop.passwords.Uncommon"},
    {"NAME": "soapshop.passwords.NotOnlyDigits"},
]
if TESTING:
    PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]

# ── Safety of the wire ──────────────────────────────────────────────────────────────────────────────────────────────
# Plain http serves 127.0.0.1 and a workshop's own network; SOAPSHOP_HTTPS=1 is for a shop behind a proxy with https.
SESSION_COOKIE_NAME = "soapshop_demo_session" if DEMO else "soapshop_session"
CSRF_COOKIE_NAME = "soapshop_demo_csrf" if DEMO else "soapshop_csrf"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 365 * 24 * 3600 if HTTPS else 0
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
# Other names below the shop's domain may belong to somebody else, so this program makes no promise for them.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]

# ── Language, days and numbers ──────────────────────────────────────────────────────────────────────────────────────
LANGUAGE_CODE = "en-us"
USE_I18N = False
USE_TZ = True
TIME_ZONE = "UTC"  # What the workshop's row says is switched on for each request.
DATE_FORMAT = "M j, Y"
SHORT_DATE_FORMAT = "Y-m-d"
TIME_FORMAT = "H:i"
DATETIME_FORMAT = "M j, Y, H:i"

# ── Styles, scripts and fonts ───────────────────────────────────────────────────────────────────────────────────────
STATIC_URL = "/static/"
STATICFILES_FINDERS = ["soapshop.assets.OwnAppsFinder", "soapshop.assets.PackageFilesFinder"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": (
            "django.contrib.staticfiles.storage.StaticFilesStorage"
            if TESTING or DEBUG
            else "soapshop.assets.HashedStaticStorage"
        )
    },
}
WHITENOISE_USE_FINDERS = TESTING or DEBUG
WHITENOISE_AUTOREFRESH = DEBUG
MEDIA_ROOT = DATA_DIR / "media"

# ── E-mail: through a mail server where one is named, else into files that can be read in the data folder ───────────
EMAIL_HOST = env.text("SOAPSHOP_EMAIL_HOST")
EMAIL_PORT = env.whole_number("SOAPSHOP_EMAIL_PORT", 587, lowest=1, highest=65535)
EMAIL_HOST_USER = env.text("SOAPSHOP_EMAIL_USER")
EMAIL_HOST_PASSWORD = env.text("SOAPSHOP_EMAIL_PASSWORD")
_email_security = env.choice("SOAPSHOP_EMAIL_SECURITY", "starttls", choices=("starttls", "ssl", "none"))
EMAIL_USE_TLS = _email_security == "starttls"
EMAIL_USE_SSL = _email_security == "ssl"
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL = SERVER_EMAIL = env.text("SOAPSHOP_EMAIL_FROM", "soapshop@localhost")
EMAIL_BACKEND = f"django.core.mail.backends.{'smtp' if EMAIL_HOST else 'filebased'}.EmailBackend"
EMAIL_FILE_PATH = DATA_DIR / "mail"

# ── What is written to the terminal ─────────────────────────────────────────────────────────────────────────────────
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"terminal": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {
        "handlers": ["terminal"],
        "level": env.choice("SOAPSHOP_LOG_LEVEL", "warning", choices=("debug", "info", "warning", "error")).upper(),
    },
    "loggers": {
        "django": {"handlers": [], "level": "NOTSET", "propagate": True},
        # A page that loads a dozen files at once is no reason for a line.
        "waitress.queue": {"level": "ERROR"},
        # WeasyPrint and fontTools report each font and rule they skip; the papers' own module listens where it matters.
        "weasyprint": {"level": "ERROR"},
        "fontTools": {"level": "ERROR"},
    },
}
