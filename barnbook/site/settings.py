"""Settings of the house. Everything that an owner may set comes from the environment or the data folder."""

from __future__ import annotations

import os
import re
import secrets
from pathlib import Path
from typing import Any

import dj_database_url

PACKAGE = Path(__file__).resolve().parent.parent


def data_folder() -> Path:
    """Where the book lies: BARNBOOK_DATA, else .data in the present folder."""
    folder = Path(os.environ.get("BARNBOOK_DATA") or ".data").expanduser().absolute()
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def secret_key(folder: Path) -> str:
    """The key that signs sessions: made once, readable by the owner of the data folder alone."""
    path = folder / "secret-key"
    if not path.exists():
        new = path.with_suffix(f".{os.getpid()}")
        new.touch(mode=0o600)
        new.write_text(secrets.token_urlsafe(48), encoding="ascii")
        try:
            os.link(new, path)
        except FileExistsError:
            pass  # another process was first; its key stands
        except OSError:  # a stick or a share without hard links
            os.replace(new, path)
        finally:
            new.unlink(missing_ok=True)
    return path.read_text(encoding="ascii").strip()


DATA = data_folder()
SECRET_KEY = secret_key(DATA)
DEBUG = False
TESTING = bool(os.environ.get("BARNBOOK_TESTING"))
# Addresses on the house's own network change; the session cookie and the CSRF check do not rest on the host name.
ALLOWED_HOSTS = os.environ.get("BARNBOOK_HOSTS", "*").split(",")
# Set it where a reverse proxy answers https and says so in X-Forwarded-Proto; then cookies go over https alone.
# `serve --home` answers https itself and sets it to "home": then nobody's header is believed.
HTTPS = bool(os.environ.get("BARNBOOK_HTTPS"))
if HTTPS and os.environ["BARNBOOK_HTTPS"] != "home":
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
SECURE_SSL_REDIRECT = HTTPS
# No HSTS of ours: a phone that was told "https for years" could no longer be led through trusting a certificate that
# the house made anew, at the same name's plain page. Behind a proxy it is the proxy's to say.
SILENCED_SYSTEM_CHECKS = ["security.W004"]

# Where the house answers to everybody, if its owner wants that: https://eggs.example.org. Without it no link for a
# customer is made, and all works without (ruling 9).
PUBLIC_ADDRESS = os.environ.get("BARNBOOK_PUBLIC_ADDRESS", "").strip()

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "csp",
    "rest_framework",
    "drf_spectacular",
    "huey.contrib.djhuey",
    "barnbook.barn.apps.BarnConfig",
    "barnbook.journal.apps.JournalConfig",
    "barnbook.work.apps.WorkConfig",
    "barnbook.house.apps.HouseConfig",
]
AUTH_USER_MODEL = "barn.Person"

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "barnbook.api.kept_by_no_cache.no_store",
    "barnbook.api.body_size.bounded",  # before anything reads a body
    "csp.middleware.CSPMiddleware",  # above WhiteNoise, which answers by itself
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]
ROOT_URLCONF = "barnbook.site.urls"
WSGI_APPLICATION = "barnbook.site.wsgi.application"
# Of the few pages that are not the app's.
TEMPLATES: list[dict[str, Any]] = [
    {"BACKEND": "django.template.backends.django.DjangoTemplates", "DIRS": [PACKAGE / "api" / "pages"], "OPTIONS": {}}
]

# The book ------------------------------------------------------------------------------------------------------
DATABASE_URL = os.environ.get("DATABASE_URL", "")
DATABASES: dict[str, Any]
if DATABASE_URL:
    DATABASES = {"default": dj_database_url.parse(DATABASE_URL, conn_max_age=60)}
else:
    DATABASES = {
        "default": {
            "ENGINE": "django.db.backends.sqlite3",
            "NAME": DATA / "book.sqlite3",
            "OPTIONS": {
                "transaction_mode": "IMMEDIATE",
                "timeout": 20,
                "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;",
            },
        }
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
USE_TZ = True
TIME_ZONE = "UTC"

# Jobs: the queue is a file of its own; what must be done is in the book (ToReckon), a job is only a nudge ------
HUEY: dict[str, Any] = {
    "huey_class": "huey.SqliteHuey",
    "name": "barnbook",
    "filename": str(DATA / "jobs.sqlite3"),
    "fsync": True,
    "immediate": TESTING,
    "utc": True,
}
if os.environ.get("BARNBOOK_REDIS"):
    HUEY = {
        "huey_class": "huey.PriorityRedisHuey",
        "name": "barnbook",
        "url": os.environ["BARNBOOK_REDIS"],
        "immediate": TESTING,
        "utc": True,
    }

# The wire ------------------------------------------------------------------------------------------------------
REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["barnbook.api.who_asks.SignedIn"],
    "DEFAULT_PERMISSION_CLASSES": ["barnbook.api.who_asks.SomebodyOfAFarm"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "barnbook.api.problems.answer",
    "DEFAULT_THROTTLE_RATES": {"sign_in": "10/min"},
    # Who tries too often is told by the address that the connection comes from; X-Forwarded-For says what its writer
    # likes. (That of a proxy on this very machine is looked at by the server before.)
    "NUM_PROXIES": 0,
    "UNAUTHENTICATED_USER": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Barnbook",
    "DESCRIPTION": "The wire between a phone in the barn and the house. See docs/wire.md.",
    "VERSION": "1",
    "SERVE_INCLUDE_SCHEMA": False,
    "COMPONENT_SPLIT_REQUEST": True,
    "ENUM_NAME_OVERRIDES": {"WeightUnitEnum": ["g", "oz"], "LookedEnum": ["cock", "hen", "unsure"]},
}
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024

# Sign-in -------------------------------------------------------------------------------------------------------
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
if TESTING:
    PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ["name"]},
    },
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 8}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]
SESSION_ENGINE = "django.contrib.sessions.backends.db"
SESSION_COOKIE_NAME = "barnbook_session"
SESSION_COOKIE_AGE = 400 * 24 * 3600  # browsers keep no cookie longer; a phone should not fall out in mid-season
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_NAME = "barnbook_csrf"
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SECURE = HTTPS
CSRF_FAILURE_VIEW = "barnbook.api.problems.csrf_failure"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'self'"],
        "script-src": ["'self'"],
        "style-src": ["'self'"],
        "img-src": ["'self'", "data:", "blob:"],
        "connect-src": ["'self'"],
        "worker-src": ["'self'"],
        "manifest-src": ["'self'"],
        "object-src": ["'none'"],
        "base-uri": ["'none'"],
        "frame-ancestors": ["'none'"],
        "form-action": ["'self'"],
    }
}

# The app -------------------------------------------------------------------------------------------------------


def app_folder() -> Path:
    """The built app: BARNBOOK_APP, else inside the package when installed from a wheel, else where `npm run build`
    leaves it."""
    if chosen := os.environ.get("BARNBOOK_APP"):
        return Path(chosen)
    inside = PACKAGE / "web"
    return inside if (inside / "index.html").exists() else PACKAGE.parent / "frontend" / "dist"


APP = app_folder()
STATIC_URL = "/static/"
if APP.exists():
    WHITENOISE_ROOT = str(APP)
WHITENOISE_INDEX_FILE = True
WHITENOISE_MAX_AGE = 0
WHITENOISE_ALLOW_ALL_ORIGINS = False
WHITENOISE_MIMETYPES = {".webmanifest": "application/manifest+json"}


def WHITENOISE_IMMUTABLE_FILE_TEST(path: str, url: str) -> bool:  # noqa: N802 (WhiteNoise's own name)
    return bool(re.match(r"^/assets/.+-[A-Za-z0-9_-]{8}\.\w+$", url))


def WHITENOISE_ADD_HEADERS_FUNCTION(headers: Any, path: str, url: str) -> None:  # noqa: N802
    if not WHITENOISE_IMMUTABLE_FILE_TEST(path, url):
        headers["Cache-Control"] = "no-cache"
    if url == "/sw.js":
        headers["Service-Worker-Allowed"] = "/"


LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "plain": {
            "()": "barnbook.site.log_line.LogLine",
            "format": "{asctime} {levelname} {name}: {message}",
            "style": "{",
        }
    },
    "filters": {"secrets_hidden": {"()": "barnbook.site.log_line.SecretsHidden"}},
    "handlers": {
        "console": {"class": "logging.StreamHandler", "formatter": "plain"},
        # What a house that opens at boot says is read by nobody: it is kept for a while, and never fills the disk.
        "file": {
            "class": "barnbook.site.turning_log.TurningLog",
            "formatter": "plain",
            "filename": str(DATA / "house.log"),
            "maxBytes": 1_000_000,
            "backupCount": 4,
            "delay": True,
            "encoding": "utf-8",
        },
    },
    "root": {"handlers": ["console", "file"], "level": "WARNING"},
    "loggers": {
        "barnbook": {"level": "INFO"},
        "huey": {"level": "WARNING"},
        # What a visitor got wrong is answered to the visitor; the log is for what went wrong here.
        "django.request": {"level": "ERROR", "filters": ["secrets_hidden"]},
        "django.security": {"level": "ERROR"},
    },
}
