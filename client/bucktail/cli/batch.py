"""`bucktail batch`: a file of rows to a file of results."""

from __future__ import annotations

import csv
import io
import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import Annotated, BinaryIO, cast

import typer

from bucktail.cli.exits import Exit
from bucktail.cli.options import Url
from bucktail.cli.session import connect, ending
from bucktail.embedded import Embedded

app = typer.Typer(help="Ask a question many times, from a file.", rich_markup_mode=None, no_args_is_help=True)

MEDIA_TYPES = {"csv": "text/csv", "ndjson": "application/x-ndjson", "json": "application/json"}
_SUFFIXES = {".csv": "csv", ".ndjson": "ndjson", ".jsonl": "ndjson", ".json": "json"}
_LONG_FILE = 1024 * 1024


class BatchFormat(StrEnum):
    """Formats of a file of results."""

    CSV = "csv"
    NDJSON = "ndjson"
    JSON = "json"
    TEXT = "text"


class FileFormat(StrEnum):
    """Formats of a file of rows."""

    CSV = "csv"
    NDJSON = "ndjson"
    JSON = "json"


@app.callback()
def batch() -> None:
    """Ask a question many times, from a file."""


@app.command()
def pick(
    lines: Annotated[str, typer.Argument(metavar="LINES", help="File of rows with a header; - for standard input.")],
    form: Annotated[BatchFormat | None, typer.Option("--format", "-f", help="Format of the results.")] = None,
    reads: Annotated[
        FileFormat | None, typer.Option("--reads", help="Format of the rows, when the name hides it.")
    ] = None,
    out: Annotated[Path | None, typer.Option("--out", "-o", help="File to write; whole or not at all.")] = None,
    url: Url = None,
) -> None:
    """Pick a fastener for every row: columns diameter, alloy, head, stack; others are carried through."""
    read_as = reads.value if reads is not None else _SUFFIXES.get(Path(lines).suffix.lower(), "csv")
    write_as = form or (BatchFormat(read_as) if read_as != "csv" else BatchFormat.CSV)
    accept = MEDIA_TYPES["csv" if write_as is BatchFormat.TEXT else write_as.value]
    with ending(as_json=write_as in (BatchFormat.JSON, BatchFormat.NDJSON)), _opened(lines) as source:
        client = connect(url)
        results = client.batch_file("pick", source, content_type=MEDIA_TYPES[read_as], accept=accept)
        tally = _Tally(accept)
        counted = results if isinstance(client, Embedded) else tally.watch(results)
        with _target(out) as target:
            for piece in _as_table(counted) if write_as is BatchFormat.TEXT else counted:
                target.write(piece)
        rows, refused = (client.rows, client.refused) if isinstance(client, Embedded) else (tally.rows, tally.refused)
    if refused:
        typer.echo(f"{refused} of {rows} rows refused; see their problem", err=True)
        raise typer.Exit(Exit.ROWS_REFUSED)


@contextmanager
def _opened(name: str) -> Iterator[BinaryIO]:
    """Yield the file of rows; a long one shows its progress on a terminal."""
    if name == "-":
        yield sys.stdin.buffer
        return
    try:
        source = Path(name).open("rb")  # noqa: SIM115  closed by the with below
    except OSError as error:
        raise typer.BadParameter(f"{name}: {error.strerror}", param_hint="LINES") from None
    size = os.fstat(source.fileno()).st_size
    with source:
        if size < _LONG_FILE or not sys.stderr.isatty():
            yield source
            return
        with typer.progressbar(length=size, label=Path(name).name, file=sys.stderr) as bar:
            yield cast("BinaryIO", _Watched(source, bar.update))


class _Watched(io.RawIOBase):
    """A file that tells how far it has been read."""

    def __init__(self, source: BinaryIO, tell: object) -> None:
        super().__init__()
        self._source = source
        self._tell = cast("typer.CallbackParam", tell)

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: object) -> int:
        count: int = self._source.readinto(buffer)  # type: ignore[attr-defined]
        self._tell(count)  # type: ignore[operator]
        return count


@contextmanager
def _target(out: Path | None) -> Iterator[BinaryIO]:
    """Yield where the results go; a file stands under its name only when it is whole."""
    if out is None:
        yield sys.stdout.buffer
        sys.stdout.buffer.flush()
        return
    try:
        part = tempfile.NamedTemporaryFile(dir=out.parent, prefix=f".{out.name}.", delete=False)  # noqa: SIM115
    except OSError as error:
        raise typer.BadParameter(f"{out}: {error.strerror}", param_hint="--out") from None
    try:
        with part:
            yield cast("BinaryIO", part)
        Path(part.name).replace(out)
    except BaseException:
        Path(part.name).unlink(missing_ok=True)
        raise


class _Tally:
    """Counts rows and problems in results that a service streams."""

    def __init__(self, media_type: str) -> None:
        self.rows = 0
        self.refused = 0
        self._count = self._count_csv if media_type == MEDIA_TYPES["csv"] else self._count_json
        self._empty = ""

    def watch(self, pieces: Iterator[bytes]) -> Iterator[bytes]:
        """Yield the pieces unchanged, counting."""
        pending = ""
        for piece in pieces:
            yield piece
            *whole, pending = (pending + piece.decode("utf-8", "replace")).split("\n")
            for line in whole:
                self._count(line)

    def _count_csv(self, line: str) -> None:
        """Count a line that ends a record: one that holds the next row's number before what was added to it."""
        if not self._empty:
            added = line.split(",")
            at = max(added.index(name) for name in ("row", "bucktail_row") if name in added)
            self._empty = "," * (len(added) - at - 1)
            return
        here = f",{self.rows + 1},"
        refused = f"{here[:-1]}{self._empty}" in line
        if refused or (here in line and line.endswith(",")):
            self.rows += 1
            self.refused += refused

    def _count_json(self, line: str) -> None:
        if line.startswith('{"row": '):
            self.rows += 1
            self.refused += '"problem": {"type": "urn:bucktail:problem:' in line and ', "answer": {' not in line


_SHOWN = {"row": 5, "part_number": 18, "length_in": 10, "drill": 6, "edge_minimum_in": 11, "pitch_minimum_in": 11}
_HEADINGS = ("row", "part number", "length in", "drill", "edge in", "pitch in", "problem")


def _as_table(pieces: Iterator[bytes]) -> Iterator[bytes]:
    """Yield CSV results as an aligned table."""
    lines = io.TextIOWrapper(
        cast("BinaryIO", io.BufferedReader(_Pieces(pieces))), encoding="utf-8", errors="replace", newline=""
    )
    widths = [*_SHOWN.values(), 1]
    yield _aligned(_HEADINGS, widths)
    for row in csv.DictReader(lines):
        yield _aligned([*(row[name] for name in _SHOWN), row["problem"]], widths)


def _aligned(cells: object, widths: list[int]) -> bytes:
    texts = cast("list[str]", cells)
    return ("  ".join(text.ljust(width) for text, width in zip(texts, widths, strict=True)).rstrip() + "\n").encode()


class _Pieces(io.RawIOBase):
    """Pieces of bytes as a file."""

    def __init__(self, pieces: Iterator[bytes]) -> None:
        super().__init__()
        self._pieces = pieces
        self._rest = b""

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: bytearray) -> int:  # type: ignore[override]
        while not self._rest:
            piece = next(self._pieces, None)
            if piece is None:
                return 0
            self._rest = piece
        part, self._rest = self._rest[: len(buffer)], self._rest[len(buffer) :]
        buffer[: len(part)] = part
        return len(part)
