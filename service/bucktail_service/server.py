"""How gunicorn runs the service; the command, the container and the tests all read this one file."""

from __future__ import annotations

from pathlib import Path

bind = "127.0.0.1:8000"
worker_class = "gthread"
workers = 2
threads = 4
# tables are loaded and checked once, before the workers are forked, and shared by them
preload_app = True
keepalive = 5
timeout = 60
graceful_timeout = 30
limit_request_line = 8190
limit_request_fields = 64
limit_request_field_size = 8190
# heartbeats belong in memory where the system offers it, not on a disk that may stall
worker_tmp_dir = "/dev/shm" if Path("/dev/shm").is_dir() else None  # noqa: S108
accesslog = None
errorlog = "-"
