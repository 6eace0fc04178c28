"""Settings, read from the environment.

With no variable set the installation is for local use: an embedded database and a generated secret in
`var/`, answering on this computer only, without debug pages. `SPECAPP_ENV=production` asks for production
by name, which refuses to start without its secret and its host names.
"""

from pathlib import Path

import environ
from django.core.exceptions import ImproperlyConfigured
from django.core.management.utils import get_random_secret_key

env = environ.Env()

BASE_DIR = Path(__file__).resolve().parents[2]
VAR_DIR = Path(env.str("SPECAPP_VAR_DIR", default=str(BASE_DIR / "var")))

ENVIRONMENT = env.str("SPECAPP_ENV", default="local")
if ENVIRONMENT not in {"local", "production"}:
    raise ImproperlyConfigured(f"SPECAPP_ENV: found {ENVIRONMENT!r}, allowed are local and production.")
IS_PRODUCTION = ENVIRONMENT == "production"

DEBUG = env.bool("SPECAPP_DEBUG", default=False)
if DEBUG and IS_PRODUCTION:
    raise ImproperlyConfigured(
        "SPECAPP_DEBUG must not be set in production: its pages show settings and code."
    )


def _required_in_production(name: str) -> str:
    value = env.str(name, default="")
    if not value:
        raise ImproperlyConfigured(
            f"{name} is not set. Production (SPECAPP_ENV=production) does not start without it."
        )
    return value


def _local_secret() -> str:
    """Return this installation's own secret, made at first use and readable by its owner only."""
    path = VAR_DIR / "secret_key"
    try:
        return path.read_text(encoding="ascii").strip()
    except FileNotFoundError:
        VAR_DIR.mkdir(parents=True, exist_ok=True)
    secret = get_random_secret_key()
    try:
        path.touch(mode=0o600, exist_ok=False)
    except FileExistsError:  # another process made it a moment ago
        return path.read_text(encoding="ascii").strip() or secret
    path.write_text(secret, encoding="ascii")
    return secret


if IS_PRODUCTION:
    SECRET_KEY = _required_in_production("SPECAPP_SECRET_KEY")
    ALLOWED_HOSTS = [
        host.strip() for host in _required_in_production("SPECAPP_ALLOWED_HOSTS").split(",") if host.strip()
    ]
else:
    SECRET_KEY = env.str("SPECAPP_SECRET_KEY", default="") or _local_secret()
    ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]"]

INSTALLED_APPS = [
    "specapp.core",
    "specapp.projects",
    "specapp.assurance",
    "specapp.lists",
    "specapp.references",
    "specapp.revisions",
    "specapp.review",
    "specapp.commissioning",
    "specapp.verification",
    "specapp.bids",
    "specapp.api",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.forms",
    "django_htmx",
    "template_partials",
    "csp",
]

MIDDLEWARE = [
    "specapp.config.logs.logged_requests",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "specapp.core.headers.closed_to_others",
    "specapp.core.caching.private_pages",
    "specapp.core.limits.LimitsMiddleware",
    "specapp.config.null_characters.NullCharactersMiddleware",
    "specapp.core.time_zone.own_time_zone",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "specapp.core.interrupted.KeepingLoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "specapp.revisions.opened.points_opened",
    "specapp.core.downloads.recorded_downloads",
]

ROOT_URLCONF = "specapp.config.urls"
WSGI_APPLICATION = "specapp.config.wsgi.application"

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
                "specapp.core.display.display_units",
            ],
            "builtins": ["template_partials.templatetags.partials", "specapp.core.templatetags.sheet"],
        },
    },
]

SQLITE_OPTIONS = {
    # IMMEDIATE takes the write lock at the start, so two writers wait instead of failing half-way.
    "transaction_mode": "IMMEDIATE",
    "timeout": 20,
    # FULL: what was acknowledged is on the disk, also when the power fails; a save takes some 5 ms longer.
    "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
}
DATABASES = {
    "default": env.db_url("DATABASE_URL", default=f"sqlite:///{(VAR_DIR / 'db.sqlite3').as_posix()}")
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    if "DATABASE_URL" not in env.ENVIRON:
        # Not by URL, in which a blank or a percent sign in the folder's name would be escaped.
        VAR_DIR.mkdir(parents=True, exist_ok=True)
        DATABASES["default"]["NAME"] = str(VAR_DIR / "db.sqlite3")
    DATABASES["default"]["OPTIONS"] = SQLITE_OPTIONS
DATABASES["default"]["CONN_MAX_AGE"] = env.int("SPECAPP_CONN_MAX_AGE", default=60)
DATABASES["default"]["ATOMIC_REQUESTS"] = False
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "core.User"
AUTHENTICATION_BACKENDS = ["specapp.core.sign_in.NameOrEmailBackend"]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]
LOGIN_URL = "core:sign-in"
LOGIN_REDIRECT_URL = "projects:project-list"
LOGOUT_REDIRECT_URL = "core:sign-in"

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_I18N = False
USE_TZ = True

# Fields of forms are written in one place, as all pages show them.
FORM_RENDERER = "specapp.core.written_fields.WrittenFields"

STATIC_URL = "static/"
STATICFILES_DIRS = [BASE_DIR / "static"]
STATIC_ROOT = VAR_DIR / "static"
if not IS_PRODUCTION:
    # Files are found where they lie in the source; the collecting folder is only for production.
    WHITENOISE_USE_FINDERS = True
    STATIC_ROOT.mkdir(parents=True, exist_ok=True)
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": (
            "whitenoise.storage.CompressedManifestStaticFilesStorage"
            if IS_PRODUCTION
            else "django.contrib.staticfiles.storage.StaticFilesStorage"
        )
    },
}
MEDIA_ROOT = VAR_DIR / "media"
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2000
# Whatever a form may hold, the largest file of them being 20 MB.
LARGEST_REQUEST_BYTES = 32_000_000

# How often one person may ask for what is expensive: address, number, seconds.
RATE_LIMITS = {
    "GET projects:document-download": (60, 60),
    "GET lists:schedule-file": (60, 60),
    "GET lists:machine-list": (20, 60),
    "POST projects:machine-new": (60, 60),
    "POST lists:sheet-bring": (20, 60),
    "POST lists:machine-copy": (30, 60),
    "POST projects:setpoint-list-import": (20, 60),
    "GET projects:machine-turning-search": (30, 60),
    "GET references:question-file": (30, 60),
    "POST references:file-add": (30, 60),
    "POST revisions:issue-new": (20, 60),
    "POST revisions:sheet-find": (20, 60),
    "GET revisions:issue-package": (20, 60),
    "GET revisions:register-package": (10, 60),
    "GET revisions:superseded-file": (30, 60),
    "GET commissioning:checklist-file": (30, 60),
    "POST verification:run-new": (20, 60),
    "GET review:exchange-file": (30, 60),
    "POST review:exchange": (30, 60),
}
# Archives, whose services record what was in them.
DOWNLOADS_RECORDED_BY_THEIR_SERVICE = {"revisions:issue-package", "revisions:register-package"}

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'none'"],
        "script-src": ["'self'"],
        "style-src": ["'self'"],
        "img-src": ["'self'"],
        "font-src": ["'self'"],
        "connect-src": ["'self'"],
        "form-action": ["'self'"],
        "base-uri": ["'none'"],
        "frame-ancestors": ["'none'"],
    }
}
X_FRAME_OPTIONS = "DENY"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_AGE = 7 * 24 * 3600
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_FAILURE_VIEW = "specapp.core.views.problems.csrf_failure"

# Behind a proxy of one's own, which names the visitor's address and whether it was asked by https.
IS_BEHIND_PROXY = env.bool("SPECAPP_BEHIND_PROXY", default=False)
if IS_PRODUCTION:
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
    SECURE_SSL_REDIRECT = True
    # Whoever watches asks from beside the server.
    SECURE_REDIRECT_EXEMPT = ["^health/$"]
    SECURE_HSTS_SECONDS = env.int("SPECAPP_HSTS_SECONDS", default=365 * 24 * 3600)
    if IS_BEHIND_PROXY:
        SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    # Whether the owner's whole domain is to be https only is the owner's decision, not this program's.
    SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]

# The address under which people reach this installation, for links at the console and in mails.
PUBLIC_ADDRESS = env.str(
    "SPECAPP_ADDRESS",
    default=f"https://{ALLOWED_HOSTS[0].lstrip('.*')}" if IS_PRODUCTION else "http://127.0.0.1:8000",
)

# Without a mail server nothing is mailed and nothing needs it: links are handed over.
MAIL_URL = env.str("SPECAPP_MAIL_URL", default="")
HAS_MAIL = bool(MAIL_URL)
if HAS_MAIL:
    vars().update(env.email_url("SPECAPP_MAIL_URL"))
    DEFAULT_FROM_EMAIL = SERVER_EMAIL = env.str("SPECAPP_MAIL_FROM", default="")
    if "@" not in DEFAULT_FROM_EMAIL:
        raise ImproperlyConfigured(
            "SPECAPP_MAIL_FROM is not an address. SPECAPP_MAIL_URL needs one to send from."
        )
else:
    EMAIL_BACKEND = "django.core.mail.backends.dummy.EmailBackend"
EMAIL_TIMEOUT = 10
# A mail that somebody not signed in asks for goes out beside the request.
MAIL_BESIDE_REQUEST = True
DIGEST_SOURCES = [f"specapp.{app}.waiting.waiting_for_person" for app in ("revisions", "review", "bids")]
# What the demonstration loads besides its machines, each with the time now.
DEMO_PARTS = ["specapp.review.demo.demo_review", "specapp.bids.demo.demo_enquiries"]

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {"format": "%(asctime)s %(levelname)s %(name)s: %(message)s"},
        "json": {"()": "specapp.config.logs.JsonLines"},
    },
    "handlers": {
        "console": {"class": "logging.StreamHandler", "formatter": "json" if IS_PRODUCTION else "line"}
    },
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {
        "django.server": {"level": "WARNING"},
        "specapp": {"level": "INFO"},
        "specapp.requests": {"level": "INFO" if IS_PRODUCTION else "WARNING"},
    },
}
