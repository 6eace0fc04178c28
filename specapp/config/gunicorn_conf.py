"""How the server runs in production: `gunicorn -c python:specapp.config.gunicorn_conf specapp.config.wsgi`.

Two workers of four threads suit two cores: pages are worked out, not waited for, and SQLite writes one at a
time anyway.
"""

import os
from pathlib import Path

bind = os.environ.get("SPECAPP_BIND", "127.0.0.1:8000")
workers = int(os.environ.get("SPECAPP_WORKERS", "2"))
threads = int(os.environ.get("SPECAPP_THREADS", "4"))
worker_class = "gthread"
# Loaded once before the workers part, so that they share what does not change.
preload_app = True

timeout = 60
graceful_timeout = 30
keepalive = 5
# A worker is replaced now and then, so that nothing can pile up in it for months.
max_requests = 5000
max_requests_jitter = 500
# The sign of life of a worker must not wait for a slow disk.
if Path("/dev/shm").is_dir():  # noqa: S108  memory, not a shared folder of files
    worker_tmp_dir = "/dev/shm"  # noqa: S108

# It is steered by signals; a socket in the home folder would be shared by every installation of one user.
control_socket_disable = True

limit_request_line = 4094
limit_request_fields = 60

# The program writes a line for each request itself; the server's own go the same way.
accesslog = None
logconfig_dict = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"json": {"()": "specapp.config.logs.JsonLines"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "json"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {"gunicorn.error": {"level": "INFO", "handlers": ["console"], "propagate": False}},
}
