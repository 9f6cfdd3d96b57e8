"""`bucktail joint`."""

from __future__ import annotations

from typing import Annotated

import typer

from bucktail.cli.options import Alloy, AnswerFormat, Diameter, Edition, Format, Head, Practice, Stem, Url, Why
from bucktail.cli.session import add_stem, connect, ending, show
