"""`bucktail editions`: the tables themselves, listed, shown and searched."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from bucktail.cli.editions_cite import cite
from bucktail.cli.editions_diff import diff
from bucktail.cli.exits import EXITS_HELP
from bucktail.cli.options import AnswerFormat, Edition, Format, Table, Url
from bucktail.cli.session import connect, ending, show

app = typer.Typer(
    help="List the installed editions of the tables; show, search and cite what they hold.",
    epilog=EXITS_HELP,
    rich_markup_mode=None,
)


@app.callback(invoke_without_command=True)
def editions(context: typer.Context, form: AnswerFormat = Format.TEXT, url: Url = None) -> None:
    """List the installed editions of the tables; show, search and cite what they hold."""
    if context.invoked_subcommand is not None:
        for name, option in (("form", "--format"), ("url", "--url")):
            source = context.get_parameter_source(name)
            if source is not None and source.name == "COMMANDLINE":
                raise typer.BadParameter(f"{option} goes after {context.invoked_subcommand}")
        return
    with ending(as_json=form is Format.JSON), connect(url) as client:
        show("editions", client.editions(), form)


@app.command(name="list", epilog=EXITS_HELP)
def list_editions(form: AnswerFormat = Format.TEXT, url: Url = None) -> None:
    """List the installed editions of the tables."""
    with ending(as_json=form is Format.JSON), connect(url) as client:
        show("editions", client.editions(), form)


@app.command(name="show", epilog=EXITS_HELP)
def show_edition(
    name: Annotated[
        str | None, typer.Argument(metavar="[NAME]", help="The edition; the default one when left out.")
    ] = None,
    form: AnswerFormat = Format.TEXT,
    url: Url = None,
) -> None:
    """Tell one edition: its tables, their digests, how well its rows are known, what it changed."""
    with ending(as_json=form is Format.JSON), connect(url) as client:
        show("edition", client.edition(name), form)


@app.command(epilog=EXITS_HELP)
def table(table: Table, edition: Edition = None, form: AnswerFormat = Format.TEXT, url: Url = None) -> None:
    """Show one table: its columns, and every row as printed. CSV is the table's own file."""
    with ending(as_json=form is Format.JSON), connect(url) as client:
        if form is not Format.CSV:
            show("edition_table", client.table(edition, table), form)
            return
        sys.stdout.buffer.write(client.table_file(edition, table))
        sys.stdout.buffer.flush()


@app.command(epilog=EXITS_HELP)
def row(
    table: Table,
    key: Annotated[list[str], typer.Argument(metavar="KEY...", help="The row's key, part by part: 1/8 final 1.")],
    edition: Edition = None,
    form: AnswerFormat = Format.TEXT,
    url: Url = None,
) -> None:
    """Show one row of a table, and where it was read."""
    with ending(as_json=form is Format.JSON), connect(url) as client:
        show("edition_row", client.row(edition, table, *key), form)


@app.command(epilog=EXITS_HELP)
def find(
    text: Annotated[list[str], typer.Argument(metavar="WORDS...", help="Words that all stand in a row: 5/32 shear.")],
    edition: Edition = None,
    limit: Annotated[int, typer.Option("--limit", "-n", help="Rows to show at most.")] = 50,
    form: AnswerFormat = Format.TEXT,
    url: Url = None,
) -> None:
    """Find rows by words: in their cells, document or note, or in the title of their table."""
    with ending(as_json=form is Format.JSON), connect(url) as client:
        show("edition_find", client.find(" ".join(text), edition, limit=limit), form)


app.command(epilog=EXITS_HELP)(cite)
app.command(epilog=EXITS_HELP)(diff)
