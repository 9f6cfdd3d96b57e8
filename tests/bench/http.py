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
from tests.bench.measure import Figure, Rounds, compiled, interleaved
from tests.bench.orders import paths, questions
from tests.bench.servers import EMPTY, SERVICE, Server, fetch, running
from werkzeug.test import EnvironBuilder, run_wsgi_app

from bucktail_service.app import create_app
from bucktail_service.config import Settings

if TYPE_CHECKING:
    from _typeshed.wsgi import WSGIApplication

ROUNDS = 15
REQUESTS = 2_000
IN_PROCESS = 800
REPEATED = 8
KEPT_TARGET, FRESH_TARGET = 0.9, 0.5


def measure(folder: Path) -> list[Figure]:
    """Return the ratios behind the server, then in-process."""
    return [*_behind_server(compiled(folder)), *_in_process()]


def _behind_server(environment: dict[str, str]) -> list[Figure]:
    unasked = questions()
    repeated = paths(unasked, REPEATED)
    with running(SERVICE, environment) as service, running(EMPTY, environment) as bare:
        status, body = fetch(service.port, repeated[0])
        insist(status == 200 and json.loads(body)["part_number"] == PART_NUMBER, body)
        insist(fetch(bare.port, "/empty")[0] == 200, "empty")
        loads = {
            "empty": Load(bare, lambda: ["/empty"]),
            "8 questions repeated": Load(service, lambda: repeated),
            "all different questions": Load(service, lambda: paths(unasked, REQUESTS)),
        }
        rates = interleaved(ROUNDS, {name: load.rate for name, load in loads.items()})
    targets = {"8 questions repeated": KEPT_TARGET, "all different questions": FRESH_TARGET}
    return [line for name, target in targets.items() for line in _told(name, target, rates, loads)]


def _told(name: str, target: float, rates: Rounds, loads: dict[str, Load]) -> list[Figure]:
    reached = f"{rates.typical(name):,.0f} over {rates.typical('empty'):,.0f} requests/s"
    each, base = median(loads[name].used), median(loads["empty"].used)
    # what a request uses of the processor is disturbed far less by other work than how many are answered
    used = f"{each * 1e6:.0f} over {base * 1e6:.0f} us of the workers"
    what = f"{name}, gunicorn"
    return [
        Figure("http", what, rates.ratio(name, "empty"), "x empty route", target, at_least=True, note=reached),
        Figure("http", f"{name}, processor time", each / base, "x its time", note=used),
    ]


class Load:
    """Requests put on one server, and what each has used of its processor time. [s]"""

    def __init__(self, server: Server, targets: Callable[[], list[str]]) -> None:
        self.used: list[float] = []
        self._server = server
        self._targets = targets

    def rate(self) -> float:
        """Return the requests answered in a second."""
        before = self._server.cpu()
        command = [sys.executable, "-m", "tests.bench.load", str(self._server.port), str(REQUESTS)]
        text = "\n".join(self._targets())
        told = subprocess.run(command, input=text, text=True, stdout=subprocess.PIPE, check=True)
        self.used.append((self._server.cpu() - before) / REQUESTS)
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
    base = took.typical("empty")
    return [
        Figure(
            "http",
            f"{name}, in-process",
            took.ratio(name, "empty"),
            "x its time",
            note=f"{took.typical(name) * 1e6:.0f} over {base * 1e6:.0f} us",
        )
        for name in ("8 questions repeated", "all different questions")
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
        yield EnvironBuilder(path=path, query_string=query, headers=[("Accept", "*/*")]).get_environ()
