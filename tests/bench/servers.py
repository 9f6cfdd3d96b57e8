"""Servers on this machine alone, under the service's own gunicorn file, always stopped."""

from __future__ import annotations

import http.client
import math
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

SERVICE = "bucktail_service.wsgi:app"
EMPTY = "tests.bench.empty:app"
PATIENCE = 20.0  # s


@dataclass(frozen=True, slots=True)
class Server:
    """A running server: its port, and the process that started its workers."""

    port: int
    process: int

    def cpu(self) -> float:
        """Return the processor time its workers have used. [s]; nan where the system does not tell."""
        used = 0
        try:
            children = Path(f"/proc/{self.process}/task/{self.process}/children").read_text().split()
            for child in children:
                fields = Path(f"/proc/{child}/stat").read_text().rpartition(")")[2].split()
                used += int(fields[11]) + int(fields[12])  # utime and stime, in ticks
        except OSError:
            return math.nan
        return used / os.sysconf("SC_CLK_TCK")


@contextmanager
def running(application: str, environment: dict[str, str]) -> Iterator[Server]:
    """Run an application and yield its server."""
    port = _free_port()
    command = [sys.executable, "-m", "gunicorn", "--config", "python:bucktail_service.server"]
    command += ["--bind", f"127.0.0.1:{port}", "--log-level", "error", application]
    server = subprocess.Popen(command, env=environment, stdin=subprocess.DEVNULL)
    try:
        _wait(server, port)
        yield Server(port, server.pid)
    finally:
        server.terminate()
        try:
            server.wait(PATIENCE)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()


def fetch(port: int, path: str) -> tuple[int, bytes]:
    """Return status and body of one request."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
    try:
        connection.request("GET", path)
        response = connection.getresponse()
        return response.status, response.read()
    finally:
        connection.close()


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def _wait(server: subprocess.Popen[bytes], port: int) -> None:
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end and server.poll() is None:
        try:
            fetch(port, "/healthz")
        except OSError:
            time.sleep(0.05)
        else:
            return
    raise SystemExit(f"the server did not start on port {port}")
