"""`bucktail batch`: a file of rows to a file of results."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import Annotated, BinaryIO, cast

import typer

from bucktail.cli.exits import EXITS_HELP, Exit
from bucktail.cli.options import Url
from bucktail.cli.results import Tally, copy_counting, write_table
from bucktail.cli.session import connect, ending
from bucktail.embedded import Embedded
from bucktail.errors import bad_question

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


QUESTIONS = {
    "pick": "Pick a fastener for every row: columns diameter, alloy, head, stack; others are carried through.",
    "rework": "Plan the rework of every row: columns installed, stack and what was found.",
}
Lines = Annotated[str, typer.Argument(metavar="LINES", help="File of rows with a header; - for standard input.")]
ResultFormat = Annotated[BatchFormat | None, typer.Option("--format", "-f", help="Format of the results.")]
RowFormat = Annotated[FileFormat | None, typer.Option("--reads", help="Format of the rows, when the name hides it.")]
Out = Annotated[Path | None, typer.Option("--out", "-o", help="File to write; whole or not at all.")]


@app.callback()
def batch() -> None:
    """Ask a question many times, from a file."""


def _command(question: str) -> Callable[..., None]:
    """Return the command that asks *question* for every row of a file."""

    def command(
        lines: Lines,
        form: ResultFormat = None,
        reads: RowFormat = None,
        out: Out = None,
        url: Url = None,
    ) -> None:
        read_as = reads.value if reads is not None else _SUFFIXES.get(Path(lines).suffix.lower(), "csv")
        write_as = form or BatchFormat(read_as)
        accept = MEDIA_TYPES["csv" if write_as is BatchFormat.TEXT else write_as.value]
        as_json = write_as in (BatchFormat.JSON, BatchFormat.NDJSON)
        with ending(as_json=as_json), _opened(lines) as source, connect(url) as client:
            results = client.batch_file(question, source, content_type=MEDIA_TYPES[read_as], accept=accept)
            with _target(out) as target:
                if write_as is BatchFormat.TEXT:
                    tally = write_table(results, target)
                elif isinstance(client, Embedded):
                    for piece in results:
                        target.write(piece)
                    tally = Tally(client.rows, client.refused)
                else:
                    tally = copy_counting(results, target, is_csv=accept == MEDIA_TYPES["csv"])
        if tally.refused:
            typer.echo(f"{tally.refused} of {tally.rows} rows refused: see their problem", err=True)
            raise typer.Exit(Exit.ROWS_REFUSED)

    return command


for _question, _told in QUESTIONS.items():
    app.command(name=_question, epilog=EXITS_HELP, help=_told)(_command(_question))


@contextmanager
def _opened(name: str) -> Iterator[BinaryIO]:
    """Yield the file of rows; a long one shows its progress on a terminal."""
    if name == "-":
        yield sys.stdin.buffer
        return
    try:
        source = Path(name).open("rb")  # noqa: SIM115  closed by the with below
    except OSError as error:
        raise bad_question("LINES", f"{name}: {error.strerror}", "lines.csv") from None
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
    if out.is_dir():
        raise bad_question("--out", f"{out} is a folder", f"{out}/results.csv")
    import tempfile  # noqa: PLC0415  every other command would pay for it

    try:
        part = tempfile.NamedTemporaryFile(dir=out.parent, prefix=f".{out.name}.", delete=False)  # noqa: SIM115
    except OSError as error:
        raise bad_question("--out", f"{out}: {error.strerror}", "results.csv") from None
    try:
        with part:
            yield cast("BinaryIO", part)
        Path(part.name).chmod(0o666 & ~_umask())
        Path(part.name).replace(out)
    except BaseException:
        Path(part.name).unlink(missing_ok=True)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
