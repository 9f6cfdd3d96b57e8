"""A million lines CSV to CSV, over reading the same file with `csv.DictReader`."""

from __future__ import annotations

import csv
import os
import subprocess
import time
from functools import partial
from itertools import islice
from pathlib import Path

from tests.bench.checked import PART_NUMBER, insist
from tests.bench.measure import Figure, compiled, interleaved
from tests.bench.orders import write_order
from tests.bench.terminal import BUCKTAIL

from bucktail_service.batch.run import Batch

LINES = 1_000_000
ROUNDS = 3
USUAL = 3_000
MOST = {USUAL: 2.5, 50_000: None, LINES: 8.0}  # by how many different questions there are


def measure(folder: Path) -> list[Figure]:
    """Return what a batch takes over reading its file, by how many different questions it asks."""
    figures = []
    for distinct, most in MOST.items():
        order = write_order(folder / f"order-{distinct}.csv", LINES, distinct)
        check(order)
        tasks = {"read": partial(_read, order), "batch": partial(_batch, order)}
        if distinct == USUAL:  # as a person runs it
            tasks["command"] = partial(_command, order, compiled(folder))
            tasks["command"]()  # writes the compiled modules
        took = interleaved(ROUNDS if distinct < LINES else 2, tasks)  # that one is long, and for information
        base = took.typical("read")
        for name in list(tasks)[1:]:
            seconds = took.typical(name)
            what = f"{distinct:,} different" if name == "batch" else f"{distinct:,} different, as a command"
            target = most if name == "batch" else None
            note = f"{seconds:.2f} s over {base:.2f} s, {LINES / seconds:,.0f} lines/s"
            figures.append(Figure("batch", what, took.ratio(name, "read"), "x DictReader", target, note=note))
    return figures


def check(order: Path) -> None:
    """Insist that every line of an order is answered, and the first as published."""
    with order.open("rb") as source:
        batch = Batch("pick", source, "csv", "csv")
        pieces = iter(batch)
        beginning = next(pieces)
        lines = beginning.count(b"\n") + sum(piece.count(b"\n") for piece in pieces)
    first = next(csv.DictReader(islice(beginning.decode().splitlines(), 2)))
    insist(first["part_number"] == PART_NUMBER, first)
    insist((batch.rows, batch.refused, lines) == (LINES, 0, LINES + 1), (batch.rows, batch.refused, lines))


def _read(order: Path) -> float:
    started = time.perf_counter()
    with order.open(encoding="utf-8", newline="") as file:
        for _ in csv.DictReader(file):
            pass
    return time.perf_counter() - started


def _batch(order: Path) -> float:
    started = time.perf_counter()
    with order.open("rb") as source, Path(os.devnull).open("wb") as out:
        out.writelines(Batch("pick", source, "csv", "csv"))
    return time.perf_counter() - started


def _command(order: Path, environment: dict[str, str]) -> float:
    started = time.perf_counter()
    command = [BUCKTAIL, "batch", "pick", str(order)]
    subprocess.run(command, env=environment, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - started
