"""How gunicorn runs the service; the command, the container and the tests all read this one file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from bucktail_tables import house
from bucktail_tables.errors import TablesError

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


def on_reload(server: Any) -> None:
    """Read the house tables anew at SIGHUP; when they are not whole, those there were stay.

    Called where the workers are forked from, before new ones are: all of them share what was read once, and keep no
    answer of the tables before. The old workers finish what they have accepted, out of the tables they began with.
    """
    try:
        editions = house.reload()
    except TablesError as error:
        # no traceback: the message says which folder, table, row and column
        server.log.error("house tables not reloaded, the last good ones stay: %s", error)  # noqa: TRY400
    except Exception:  # whatever a folder holds, it must not end a service that runs
        server.log.exception("house tables not reloaded, the last good ones stay")
    else:
        for edition in editions.values():
            server.log.info("house tables %s %s", edition.name, edition.sha256)
