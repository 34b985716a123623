"""Every setting of the program; what a machine decides is read from the environment (table in DEVELOPERS.md)."""

import os
from datetime import timedelta
from pathlib import Path

from . import database_url, email_url, env

BASE_DIR = Path(__file__).resolve().parents[2]

MODES = ("production", "development", "demo", "test")
if os.environ.get("SLABWRIGHT_MODE") not in ("demo", "test"):
    # A demo or a test run must not read, let alone write, what belongs to a real yard.
    env.load_file(BASE_DIR / ".env")
MODE = env.choice("SLABWRIGHT_MODE", MODES, default="production")
PRODUCTION = MODE == "production"
DEBUG = MODE == "development"

# A known key is fine where nothing is secret; production must bring its own.
SECRET_KEY = env.text("SLABWRIGHT_SECRET_KEY", None if PRODUCTION else f"not-secret-{MODE}-only")
if PRODUCTION and len(SECRET_KEY) < 50:
    raise env.BadSetting("SLABWRIGHT_SECRET_KEY is too short: give at least 50 characters nobody can guess")
SECRET_KEY_FALLBACKS = env.words("SLABWRIGHT_OLD_SECRET_KEYS")

# Where the yard's own things are kept: database file, photos, collected static files.
DATA_DIR = Path(env.text("SLABWRIGHT_DATA_DIR", str(BASE_DIR / "var" / ("demo" if MODE == "demo" else ""))))
DATA_DIR.mkdir(parents=True, exist_ok=True)

# ---- Reaching it
HOSTS = env.words("SLABWRIGHT_HOSTS", ["localhost", "127.0.0.1", "[::1]"])
ALLOWED_HOSTS = HOSTS
HTTPS = env.flag("SLABWRIGHT_HTTPS", default=PRODUCTION)
BEHIND_PROXY = env.flag("SLABWRIGHT_BEHIND_PROXY", default=False)
# The address that labels lead to, such as https://yard.local:8443; empty: the one that their page was opened at.
PUBLIC_URL = env.text("SLABWRIGHT_URL", "")
ROOT_URLCONF = "yard.config.urls"
WSGI_APPLICATION = "yard.config.wsgi.application"
LOGIN_URL = "yard:login"
LOGIN_REDIRECT_URL = "yard:today"
LOGOUT_REDIRECT_URL = "yard:login"

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_htmx",
    "template_partials",
    "axes",
    "csp",
    "yard",
    "kilns",
    "sales",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "csp.middleware.CSPMiddleware",
    "yard.config.middleware.PrivatePages",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "yard.config.middleware.YardNow",
    "yard.config.middleware.AccessTable",
    "axes.middleware.AxesMiddleware",
]

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "yard.config.page_context.page_context",
            ],
            "builtins": [
                "yard.templatetags.quantities",
                "yard.templatetags.page",
                "template_partials.templatetags.partials",
            ],
        },
    },
]

# ---- Data
POSTGRES_POOL = env.flag("SLABWRIGHT_POSTGRES_POOL", default=False)
DATABASE_URL = "" if MODE == "demo" else env.text("DATABASE_URL", "")
DATABASES = {
    "default": database_url.parse(DATABASE_URL, pool=POSTGRES_POOL)
    if DATABASE_URL
    else database_url.sqlite(DATA_DIR / "slabwright.sqlite3")
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
MEDIA_ROOT = DATA_DIR / "media"
FILE_UPLOAD_PERMISSIONS = 0o640
DATA_UPLOAD_MAX_MEMORY_SIZE = 10 * 1024 * 1024
# A wide spreadsheet mapped in one form, or a long tally, has many fields.
DATA_UPLOAD_MAX_NUMBER_FIELDS = 20_000

# ---- People
AUTH_USER_MODEL = "yard.Person"
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
if MODE == "test":
    # Hashing is slow on purpose; one test checks that Argon2 is what a real yard uses.
    PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher", *PASSWORD_HASHERS]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
AXES_FAILURE_LIMIT = 6
AXES_COOLOFF_TIME = timedelta(minutes=10)
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False
AXES_LOCKOUT_CALLABLE = "yard.views.login.locked_out"
AXES_CLIENT_IP_CALLABLE = "yard.config.client_address.client_address"
AXES_ENABLE_ADMIN = False
AXES_VERBOSE = False

# A phone in the yard stays logged in for a season; an owner ends it by deactivating the person.
SESSION_COOKIE_AGE = 180 * 24 * 3600
SESSION_COOKIE_NAME = "slabwright_session"
CSRF_COOKIE_NAME = "slabwright_csrf"
CSRF_COOKIE_AGE = SESSION_COOKIE_AGE
CSRF_FAILURE_VIEW = "yard.views.errors.csrf_failed"
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = LANGUAGE_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS

# ---- Security headers
SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 30 * 24 * 3600 if HTTPS else 0
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
if BEHIND_PROXY:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in HOSTS if host != "*"] if HTTPS else []

SELF = "'self'"
# plotly.js adds an empty style element and fills it by script; this is the hash of the empty string.
EMPTY_STYLE = "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'none'"],
        "script-src": [SELF],
        "style-src": [SELF, EMPTY_STYLE],
        "img-src": [SELF, "data:", "blob:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "base-uri": ["'none'"],
        "frame-ancestors": ["'none'"],
        "object-src": ["'none'"],
    }
}

# ---- Static files
STATIC_URL = "/static/"
STATICFILES_DIRS = [BASE_DIR / "static"]
STATIC_ROOT = DATA_DIR / "static"
# Outside production the files are served straight from static/, so nothing has to be collected first.
WHITENOISE_USE_FINDERS = WHITENOISE_AUTOREFRESH = not PRODUCTION
STATICFILES_STORAGE_CLASS = (
    "whitenoise.storage.CompressedManifestStaticFilesStorage"
    if PRODUCTION
    else "django.contrib.staticfiles.storage.StaticFilesStorage"
)
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": STATICFILES_STORAGE_CLASS},
}

# ---- Words, time, messages
LANGUAGE_CODE = "en-us"
USE_I18N = False
USE_TZ = True
TIME_ZONE = "UTC"  # what is stored; a page shows the yard's own zone (middleware YardNow)
EMAIL_URL = env.text("SLABWRIGHT_EMAIL_URL", "")
globals().update(email_url.parse(EMAIL_URL))
DEFAULT_FROM_EMAIL = env.text("SLABWRIGHT_EMAIL_FROM", "slabwright@localhost")
# Who is written to when something goes wrong in a kiln; nobody, and nothing is sent.
ALARMS_TO = env.words("SLABWRIGHT_ALARMS_TO") if EMAIL_URL else []
SILENCED_SYSTEM_CHECKS = [
    "security.W005",  # HSTS covers this host only: a yard may share its domain with others
    "security.W021",  # and is not put on the browsers' preload list
    "axes.W006",
]
LOG_LEVEL = env.choice("SLABWRIGHT_LOG_LEVEL", ("DEBUG", "INFO", "WARNING", "ERROR"), default="INFO")
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": LOG_LEVEL},
    "loggers": {
        "django.server": {"handlers": ["console"], "level": LOG_LEVEL, "propagate": False},
        "axes": {"level": "WARNING"},
    },
}
