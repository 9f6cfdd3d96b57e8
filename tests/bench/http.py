"""`GET /v1/pick` over an empty Flask route: behind the same server with the same settings, and in-process."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING

from tests.bench import empty
from tests.bench.checked import PART_NUMBER, insist
from tests.bench.measure import Figure, compiled, interleaved
from tests.bench.orders import paths, questions
from tests.bench.servers import EMPTY, SERVICE, fetch, running
from werkzeug.test import EnvironBuilder, run_wsgi_app

from bucktail_service.app import create_app
from bucktail_service.config import Settings

if TYPE_CHECKING:
    from _typeshed.wsgi import WSGIApplication

ROUNDS = 7
REQUESTS = 6_000
IN_PROCESS = 2_000
REPEATED = 8
KEPT_TARGET, FRESH_TARGET = 0.9, 0.5


def measure(folder: Path) -> list[Figure]:
    """Return the ratios behind the server, then in-process."""
    return [*_behind_server(compiled(folder)), *_in_process()]


def _behind_server(environment: dict[str, str]) -> list[Figure]:
    unasked = questions()
    repeated = paths(unasked, REPEATED)
    with running(SERVICE, environment) as service, running(EMPTY, environment) as bare:
        status, body = fetch(service, repeated[0])
        insist(status == 200 and json.loads(body)["part_number"] == PART_NUMBER, body)
        insist(fetch(bare, "/empty")[0] == 200, "empty")
        rates = interleaved(
            ROUNDS,
            {
                "empty": lambda: _rate(bare, ["/empty"]),
                "repeated": lambda: _rate(service, repeated),
                "different": lambda: _rate(service, paths(unasked, REQUESTS)),
            },
        )
    base = rates.pop("empty")
    targets = {"repeated": KEPT_TARGET, "different": FRESH_TARGET}
    return [
        Figure(
            "http",
            f"{'8 questions repeated' if name == 'repeated' else 'all different questions'}, gunicorn",
            rate / base,
            "x empty route",
            targets[name],
            at_least=True,
            note=f"{rate:,.0f} over {base:,.0f} requests/s",
        )
        for name, rate in rates.items()
    ]


def _rate(port: int, targets: list[str]) -> float:
    command = [sys.executable, "-m", "tests.bench.load", str(port), str(REQUESTS)]
    told = subprocess.run(command, input="\n".join(targets), text=True, stdout=subprocess.PIPE, check=True)
    return float(told.stdout)


def _in_process() -> list[Figure]:
    """Return times, not rates: so many times what the empty route takes."""
    application = create_app(Settings()).wsgi_app
    unasked = questions()
    repeated = paths(unasked, REPEATED)
    took = interleaved(
        ROUNDS,
        {
            "empty": partial(_each, empty.app.wsgi_app, lambda: ["/empty"] * IN_PROCESS),
            "8 questions repeated": partial(_each, application, lambda: repeated * (IN_PROCESS // REPEATED)),
            "all different questions": partial(_each, application, lambda: paths(unasked, IN_PROCESS)),
        },
    )
    base = took.pop("empty")
    return [
        Figure(
            "http", f"{name}, in-process", each / base, "x its time", note=f"{each * 1e6:.0f} over {base * 1e6:.0f} us"
        )
        for name, each in took.items()
    ]


def _each(application: WSGIApplication, targets: Callable[[], list[str]]) -> float:
    """Return the median time of one request. [s]"""
    times = []
    for environ in _environs(targets()):
        started = time.perf_counter()
        body, status, _ = run_wsgi_app(application, environ)
        b"".join(body)
        times.append(time.perf_counter() - started)
        insist(status.startswith("200"), status)
    return median(times)


def _environs(targets: list[str]) -> Iterator[dict[str, object]]:
    for target in targets:
        path, _, query = target.partition("?")
        yield EnvironBuilder(path=path, query_string=query, headers={"Accept": "*/*"}).get_environ()
