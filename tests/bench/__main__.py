"""The command: runs the parts asked for and prints one table. No gate: a busy machine must not fail a change."""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from pathlib import Path

from tests.bench import batch, http, memory, terminal
from tests.bench.measure import as_table

PARTS = {"terminal": terminal.measure, "batch": batch.measure, "memory": memory.measure, "http": http.measure}


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("parts", nargs="*", metavar="PART", help=f"of {', '.join(PARTS)}; all when none is named")
    parts = parser.parse_args().parts or list(PARTS)
    unknown = set(parts) - set(PARTS)
    if unknown:
        parser.error(f"there is no part {min(unknown)!r}: choose from {', '.join(PARTS)}")
    _warn()
    figures = []
    # compiled modules of every process that is timed go here, as an ordinary install would have them beside its sources
    with tempfile.TemporaryDirectory(prefix="bench-") as folder:
        for part in parts:
            started = time.perf_counter()
            figures += PARTS[part](Path(folder))
            print(f"{part}: measured in {time.perf_counter() - started:.0f} s", file=sys.stderr)
    print(as_table(figures))


def _warn() -> None:
    if os.environ.get("PYTHONDONTWRITEBYTECODE"):
        text = "PYTHONDONTWRITEBYTECODE is set: timed commands run without it, an ordinary shell here would be slower"
        print(f"warning: {text}", file=sys.stderr)
    load, cores = os.getloadavg()[0], os.cpu_count() or 1
    if load > cores / 2:
        print(f"warning: load {load:.1f} on {cores} cores: other work disturbs the figures", file=sys.stderr)


if __name__ == "__main__":
    main()
