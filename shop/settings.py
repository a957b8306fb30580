"""Every setting in one flat file; each value that matters is checked and refused in one clear sentence."""

import importlib.resources
from pathlib import Path

from shop.media_address import media_storage
from shop.running.key_rule import metrics_key
from shop.running.logs import logging_settings
from shop.surroundings import Surroundings

ROOT = Path(__file__).resolve().parent.parent
env = Surroundings(ROOT)

# What the server hands out to everybody: no folder of the shop may lie there.
PUBLISHED = [ROOT / floor / "static" for floor in ("intake", "quotes", "shop")]
DATA = env.hidden_folder("BENCHPOST_DATA", ROOT / ".data", PUBLISHED)
SITE_ADDRESS = env.address("SITE_ADDRESS", "http://localhost:8000")
DEBUG = env.debug("DEBUG", SITE_ADDRESS)
DEMO = env.switch("BENCHPOST_DEMO", False)
SECRET_KEY = env.secret("SECRET_KEY", DATA)
SECRET_KEY_FALLBACKS = env.old_secrets("SECRET_KEY_FALLBACKS", SECRET_KEY)
CODE_KEYS = env.code_keys("CODE_KEYS")
ALLOWED_HOSTS = env.hosts("ALLOWED_HOSTS", SITE_ADDRESS)
CSRF_TRUSTED_ORIGINS = [SITE_ADDRESS]

INSTALLED_APPS = [
    "intake",
    "quotes",
    "shop",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_htmx",
]

MIDDLEWARE = [
    "shop.running.marking.MarkMiddleware",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "shop.guard.ContentPolicyMiddleware",
    "shop.running.away.AwayMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "shop.doors.sessions.DoorMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "shop.guard.ShopZoneMiddleware",
    "shop.keeping.noting.SightMiddleware",
    "shop.hostile.HostileInputMiddleware",
]

ROOT_URLCONF = "shop.urls"
WSGI_APPLICATION = "shop.wsgi.application"
ASGI_APPLICATION = "shop.asgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [ROOT / "templates"],
        "OPTIONS": {
            "loaders": [
                (
                    "django.template.loaders.cached.Loader",
                    [
                        "django.template.loaders.filesystem.Loader",
                        "django.template.loaders.app_directories.Loader",
                    ],
                )
            ]
            if not DEBUG
            else [
                "django.template.loaders.filesystem.Loader",
                "django.template.loaders.app_directories.Loader",
            ],
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "shop.surface.page_frame",
            ],
        },
    }
]

DATABASES = {"default": env.database("DATABASE_URL", DATA / "benchpost.sqlite3")}
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.db.DatabaseCache",
        "LOCATION": "cache_rows",
        # Tries are counted there: at the usual 300 a stranger with many names could push the counts of others out.
        "OPTIONS": {"MAX_ENTRIES": 200_000},
    }
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
AUTH_USER_MODEL = "intake.Person"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "shop.own_words.OwnWordsValidator"},
]
TWO_FACTOR = env.one_of("TWO_FACTOR", ("owner", "all", "off"), "off" if DEMO else "owner")
CSRF_FAILURE_VIEW = "shop.office.doors.stale_form"
LOGIN_URL = "shop:sign_in"
LOGIN_REDIRECT_URL = "shop:day_sheet"
LOGOUT_REDIRECT_URL = "shop:sign_in"

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_TZ = True
USE_I18N = False

STATIC_URL = "/static/"
STATIC_ROOT = DATA / "static"
STATICFILES_DIRS = [
    *[
        ("fonts", str(importlib.resources.files(package) / "files"))
        for package in (
            "fontpkg_atkinson_hyperlegible",
            "fontpkg_barlow_condensed",
            "fontpkg_dm_mono",
            "fontpkg_noto_sans",
        )
    ],
]
MEDIA_STORE = env.text("MEDIA_STORE", "")
# A bucket is what machines share that have no disk in common; Redis alone says nothing, one machine may have it.
SEVERAL_MACHINES = bool(MEDIA_STORE)
STORAGES = {
    "default": media_storage(
        MEDIA_STORE,
        key=env.text("MEDIA_STORE_KEY", ""),
        secret=env.text("MEDIA_STORE_SECRET", ""),
    ),
    "staticfiles": {"BACKEND": "shop.static_store.StaticStore"},
}
MEDIA_ROOT = env.hidden_folder("MEDIA_ROOT", DATA / "media", [*PUBLISHED, STATIC_ROOT])
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 500
FILE_UPLOAD_PERMISSIONS = 0o600

EMAIL = env.mail("EMAIL_URL", DATA / "letters")
EMAIL_BACKEND = EMAIL["backend"]
EMAIL_FILE_PATH = EMAIL["file_path"]
EMAIL_HOST, EMAIL_PORT = EMAIL["host"], EMAIL["port"]
EMAIL_HOST_USER, EMAIL_HOST_PASSWORD = EMAIL["user"], EMAIL["password"]
EMAIL_USE_TLS, EMAIL_USE_SSL = EMAIL["starttls"], EMAIL["tls"]
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL = env.sender("DEFAULT_FROM_EMAIL", "bench@localhost")

BACKUP_FOLDER = env.folder("BACKUP_FOLDER", DATA / "backups")
BACKUP_RECIPIENTS = env.recipients("BACKUP_RECIPIENTS", several=SEVERAL_MACHINES)
BACKUP_IDENTITY = env.text("BACKUP_IDENTITY", "")

CUSTOMER_LINK_PATH = "/l/"  # where a mailed link opens; the window on the top floor answers there
CUSTOMER_WINDOW_PATH = "/your/"  # the window itself, where a sent request leads

REDIS_URL = env.broker("REDIS_URL")

SECURE_SITE = SITE_ADDRESS.startswith("https://")
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SITE
SESSION_COOKIE_NAME = "__Host-session" if SECURE_SITE else "session"
CSRF_COOKIE_NAME = "__Host-form" if SECURE_SITE else "form"
SESSION_COOKIE_HTTPONLY = CSRF_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
# What is told on the next page may name a person: it waits on the server and not in a cookie.
MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"
SESSION_COOKIE_AGE = 7 * 24 * 3600
SECURE_HSTS_SECONDS = 31_536_000 if SECURE_SITE else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = SECURE_SITE
SECURE_SSL_REDIRECT = SECURE_SITE
SECURE_REDIRECT_EXEMPT = [
    r"^live/$",
    r"^ready/$",
]  # asked by the machine itself, beside the web server in front
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if env.switch("BEHIND_PROXY", False) else None
# Whose word about the sender and https is taken: the web server in front, on this machine or on another.
PROXY_ADDRESS = env.machine("PROXY_ADDRESS", "127.0.0.1")
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"

LOGGING = logging_settings(env.one_of("LOG_FORMAT", ("json", "plain"), "plain" if DEMO else "json"))
METRICS_KEY = metrics_key(env.text("METRICS_KEY", ""))
