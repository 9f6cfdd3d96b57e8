"""What comes back from a batch: copied and counted, or shown as a table."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from typing import BinaryIO, NamedTuple


class Tally(NamedTuple):
    """Rows that came back, and how many of them are problems."""

    rows: int
    refused: int


def copy_counting(pieces: Iterator[bytes], target: BinaryIO, *, is_csv: bool) -> Tally:
    """Write results as they come and return their tally; read by the readers that know the formats."""
    lines = _lines(pieces, target)
    refusals = _csv_refusals(lines) if is_csv else _json_refusals(lines)
    rows = refused = 0
    for is_refused in refusals:
        rows += 1
        refused += is_refused
    return Tally(rows, refused)


def _lines(pieces: Iterator[bytes], target: BinaryIO | None) -> Iterator[str]:
    """Yield the lines of the pieces with their endings, having written them."""
    pending = ""
    for piece in pieces:
        if target is not None:
            target.write(piece)
        *whole, pending = (pending + piece.decode("utf-8", "replace")).split("\n")
        for line in whole:
            yield line + "\n"
    if pending:
        yield pending


def _csv_refusals(lines: Iterator[str]) -> Iterator[bool]:
    reader = csv.reader(lines)
    next(reader, None)
    for row in reader:
        if row:
            yield row[-1] != ""  # the problem is the last column


def _json_refusals(lines: Iterator[str]) -> Iterator[bool]:
    for line in lines:
        if line.startswith("{"):
            yield "problem" in json.loads(line.rstrip(",\n"))


_PICK = {
    "row": ("row", 5),
    "part_number": ("part number", 18),
    "length_in": ("length in", 10),
    "drill": ("drill", 6),
    "edge_minimum_in": ("edge in", 8),
    "pitch_minimum_in": ("pitch in", 8),
}
_OTHERS_SHOWN = 4
_OTHERS_WIDTH = 18


def write_table(pieces: Iterator[bytes], target: BinaryIO) -> Tally:
    """Write CSV results as an aligned table, each problem on a line of its own, and return their tally."""
    reader = csv.reader(_lines(pieces, None))
    header = next(reader, [])
    columns = _columns(header)
    widths = [width for _, _, width in columns]
    target.write(_aligned([name for _, name, _ in columns], widths))
    rows = refused = 0
    for row in reader:
        if not row:
            continue
        rows += 1
        target.write(_aligned([row[at] for at, _, _ in columns], widths))
        if row[-1]:
            refused += 1
            target.write(f"      ! {row[-1]}\n".encode())
    return Tally(rows, refused)


def _columns(header: list[str]) -> list[tuple[int, str, int]]:
    """Return which columns of the results are shown, under which names and how wide."""
    if "edge_minimum_in" in header:
        return [(_last(header, name), heading, width) for name, (heading, width) in _PICK.items()]
    start = _last(header, "row")
    shown = range(start, min(start + 1 + _OTHERS_SHOWN, len(header) - 1))
    return [(at, header[at].replace("_", " "), 5 if at == start else _OTHERS_WIDTH) for at in shown]


def _last(header: list[str], name: str) -> int:
    """Return the column an answer stands in: the last of that name, past those the file had of its own."""
    named = [at for at, column in enumerate(header) if column == name or column.endswith(f"bucktail_{name}")]
    return named[-1]


def _aligned(cells: list[str], widths: list[int]) -> bytes:
    texts = (text.ljust(width) for text, width in zip(cells, widths, strict=True))
    return ("  ".join(texts).rstrip() + "\n").encode()
