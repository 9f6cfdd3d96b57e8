"""`bucktail serve`: the service behind gunicorn, in this process's place."""

from __future__ import annotations

import os
import sys
from typing import Annotated

import typer

LOOPBACK = ("127.0.0.1", "::1", "localhost")


def run_server(host: str, port: int, workers: int, threads: int) -> None:
    """Become the server; returns only when there is none to become."""
    if host not in LOOPBACK:
        typer.echo(f"listening on {host}: anyone who reaches this machine can ask; put a gateway in front", err=True)
    bind = f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
    command = [sys.executable, "-m", "gunicorn", "--config", "python:bucktail_service.server", "--bind", bind]
    command += ["--workers", str(workers), "--threads", str(threads), "bucktail_service.wsgi:app"]
    os.execv(sys.executable, command)  # noqa: S606  no shell: a list of our own making


def serve(
    host: Annotated[str, typer.Option("--host", help="Address to listen on.")] = "127.0.0.1",
    port: Annotated[int, typer.Option("--port", "-p", min=0, max=65535, help="Port to listen on.")] = 8000,
    workers: Annotated[int, typer.Option("--workers", min=1, max=64, help="Worker processes.")] = 2,
    threads: Annotated[int, typer.Option("--threads", min=1, max=64, help="Threads of each worker.")] = 4,
) -> None:
    """Answer over HTTP; on this machine alone unless told otherwise."""
    run_server(host, port, workers, threads)
