"""`bucktail batch`: a file of rows to a file of results."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from bucktail.cli.exits import EXITS_HELP, Exit
from bucktail.cli.files import opened, target_of
from bucktail.cli.options import Url
from bucktail.cli.results import Tally, copy_counting, write_table
from bucktail.cli.session import connect, ending
from bucktail.embedded import Embedded

app = typer.Typer(help="Ask a question many times, from a file.", rich_markup_mode=None, no_args_is_help=True)

MEDIA_TYPES = {"csv": "text/csv", "ndjson": "application/x-ndjson", "json": "application/json"}
_SUFFIXES = {".csv": "csv", ".ndjson": "ndjson", ".jsonl": "ndjson", ".json": "json"}


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
    "inspect": "Inspect rivets, a row of them in every row: columns fastener and what was measured, 0.188; 0.190.",
    "balance": "Work out the balance of every row: columns arm, removed, installed and what else changed.",
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
        with ending(as_json=as_json), opened(lines) as source, connect(url) as client:
            results = client.batch_file(question, source, content_type=MEDIA_TYPES[read_as], accept=accept)
            with target_of(out) as target:
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
