"""What the header of a file says: which columns are the question's, which are carried through."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from typing import Protocol

from bucktail_service.asking.question import Question
from bucktail_service.asking.spelling import misspelled
from bucktail_service.batch.lines import readable
from bucktail_service.batch.records import Record
from bucktail_service.problems import BadFields, FieldError


class Asked(Protocol):
    """What a row asks: a question, or a line of one."""

    @property
    def fields(self) -> tuple[str, ...]:
        """Names of its fields, in order."""

    @property
    def required(self) -> tuple[str, ...]:
        """Those whose column must be there."""


def check_header(record: Record | None, asked: Asked) -> list[str]:
    """Return the column names of a CSV file.

    Raises:
        BadFields: The file is empty, its cells are not separated by commas, a needed column is missing, one
            stands twice, or one is nearly but not quite a field of the question.
    """
    example = ",".join(asked.required)
    if record is None:
        raise BadFields([FieldError("file", "is empty: a header row is needed", example)])
    cells, _, fault = record
    if fault is not None:
        raise BadFields([FieldError("header", fault, example)])
    names = [readable(cell).strip() for cell in cells]
    if len(names) == 1 and any(mark in names[0] for mark in ";\t|"):
        raise BadFields([FieldError("header", "cells must be separated by commas", example)])
    errors = [
        FieldError(name or "header", "stands twice in the header", example)
        for name in dict.fromkeys(names)
        if names.count(name) > 1
    ]
    errors += misspelled(names, asked.fields)
    errors += [FieldError(name, "is missing from the header", example) for name in asked.required if name not in names]
    if errors:
        raise BadFields(errors)
    return names


def added_names(names: Sequence[str], question: Question) -> list[str]:
    """Return the names of the added columns; one that the file already has is told apart by a prefix."""
    return [_free_name(name, names) for name in ("row", *question.columns, "problem")]


def _free_name(name: str, names: Sequence[str]) -> str:
    while name in names:
        name = f"bucktail_{name}"
    return name


def csv_line(cells: Sequence[str]) -> str:
    """Return cells as one CSV line without its ending."""
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(cells)
    return out.getvalue()
