"""What a command costs on a terminal, over the import that every typer program pays."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

from tests.bench.checked import PART_NUMBER, insist
from tests.bench.measure import Figure, compiled, interleaved
from tests.bench.servers import SERVICE, running

ROUNDS = 21
TARGET = 2.2
BUCKTAIL = str(Path(sys.executable).with_name("bucktail"))
PICK = [BUCKTAIL, "pick", "MS20470AD4", "-s", "0.040+0.040"]


def measure(folder: Path) -> list[Figure]:
    """Return what each command takes over `import typer`."""
    environment = compiled(folder)
    with running(SERVICE, environment) as server:
        commands = {
            "import": [sys.executable, "-c", "import typer"],
            "pick": PICK,
            "pick --format json": [*PICK, "--format", "json"],
            "part": [BUCKTAIL, "part", "MS20470AD4-4"],
            "--help": [BUCKTAIL, "--help"],
            "pick over HTTP": [*PICK, "--url", f"http://127.0.0.1:{server.port}"],
        }
        for name, command in commands.items():  # also writes the compiled modules
            told = subprocess.run(command, env=environment, stdin=subprocess.DEVNULL, capture_output=True, check=True)
            insist(not name.startswith("p") or PART_NUMBER in told.stdout.decode(), told)
        took = interleaved(ROUNDS, {name: _timed(command, environment) for name, command in commands.items()})
    base = took.typical("import")
    return [
        Figure(
            "terminal",
            f"bucktail {name}",
            took.ratio(name, "import"),
            "x import typer",
            TARGET if name == "pick" else None,
            note=f"{took.typical(name) * 1000:.0f} ms over {base * 1000:.0f} ms",
        )
        for name in commands
        if name != "import"
    ]


def _timed(command: list[str], environment: dict[str, str]) -> Callable[[], float]:
    def run() -> float:
        started = time.perf_counter()
        subprocess.run(command, env=environment, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, check=True)
        return time.perf_counter() - started

    return run
