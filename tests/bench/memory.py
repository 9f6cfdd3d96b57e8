"""Peak memory of the batch command, and whether it grows with the file."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from tests.bench.measure import Figure, compiled
from tests.bench.orders import write_order
from tests.bench.terminal import BUCKTAIL

SHORT, LONG = 100_000, 1_000_000
MOST_MB = 60
# room for the allocator's moods, far below what holding the file or its results would take
MOST_GROWTH = 1.1
USUAL = 3_000
# more than are ever kept at once, and all asked in the short file already
MANY = 25_000


def measure(folder: Path) -> list[Figure]:
    """Return the peaks for a usual order, for one with more questions than are kept, and where all differ."""
    return [*_peaks(folder, USUAL), *_peaks(folder, MANY), _every(folder)]


def _every(folder: Path) -> Figure:
    peak, seconds = _peak(folder, LONG, LONG)
    return Figure("memory", f"{LONG:,} lines, all different", peak, "MB", MOST_MB, note=f"{seconds:.0f} s")


def _peaks(folder: Path, distinct: int) -> list[Figure]:
    short, _ = _peak(folder, SHORT, distinct)
    long, seconds = _peak(folder, LONG, distinct)
    asked = f"{distinct:,} different"
    return [
        Figure("memory", f"{LONG:,} lines, {asked}", long, "MB", MOST_MB, note=f"{seconds:.0f} s"),
        Figure("memory", f"over {SHORT:,} lines, {asked}", long / short, "x", MOST_GROWTH, note=f"{short:.1f} MB then"),
    ]


def _peak(folder: Path, lines: int, distinct: int) -> tuple[float, float]:
    order = write_order(folder / "memory.csv", lines, distinct)
    command = [sys.executable, "-m", "tests.bench.peak", BUCKTAIL, "batch", "pick", str(order)]
    told = subprocess.run(command, env=compiled(folder), stdin=subprocess.DEVNULL, capture_output=True, check=True)
    order.unlink()
    peak, seconds = map(float, told.stdout.split())
    return peak / 1_000_000, seconds
