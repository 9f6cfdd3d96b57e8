"""What the header of a file says: which columns are the question's, which are carried through."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from difflib import get_close_matches
from functools import lru_cache

from bucktail_service.batch.lines import readable
from bucktail_service.batch.records import Record
from bucktail_service.flat import COLUMNS
from bucktail_service.problems import BadFields, FieldError
from bucktail_service.schemas.plain import PICK_FIELDS, REQUIRED

_LONGEST_SLIP = 40
HEADER_EXAMPLE = ",".join(REQUIRED)
ADDED = ("row", *COLUMNS, "problem")


def check_header(record: Record | None) -> list[str]:
    """Return the column names of a CSV file.

    Raises:
        BadFields: The file is empty, its cells are not separated by commas, a needed column is missing, one
            stands twice, or one is nearly but not quite a field of the question.
    """
    if record is None:
        raise BadFields([FieldError("file", "is empty: a header row is needed", HEADER_EXAMPLE)])
    if record.fault is not None:
        raise BadFields([FieldError("header", record.fault, HEADER_EXAMPLE)])
    names = [readable(cell).strip() for cell in record.cells]
    if len(names) == 1 and any(mark in names[0] for mark in ";\t|"):
        raise BadFields([FieldError("header", "cells must be separated by commas", HEADER_EXAMPLE)])
    errors = [
        FieldError(name or "header", "stands twice in the header", HEADER_EXAMPLE)
        for name in dict.fromkeys(names)
        if names.count(name) > 1
    ]
    errors += misspelled(names)
    errors += [FieldError(name, "is missing from the header", HEADER_EXAMPLE) for name in REQUIRED if name not in names]
    if errors:
        raise BadFields(errors)
    return names


def misspelled(names: Sequence[str]) -> list[FieldError]:
    """Return an error for each name that is nearly a field: carried through, it would silently not count."""
    errors = []
    for name in names:
        plain = name.casefold().replace(" ", "_").replace("-", "_")
        if name not in PICK_FIELDS:
            meant = _nearest_field(plain) if len(plain) <= _LONGEST_SLIP else None
            if meant:
                errors.append(FieldError(name, f"is not a field; was {meant} meant?", meant))
    return errors


@lru_cache(maxsize=4096)
def _nearest_field(name: str) -> str | None:
    if name in PICK_FIELDS:
        return name
    return next(iter(get_close_matches(name, PICK_FIELDS, 1, 0.85)), None)


def added_names(names: Sequence[str]) -> list[str]:
    """Return the names of the added columns; one that the file already has is told apart by a prefix."""
    return [_free_name(name, names) for name in ADDED]


def _free_name(name: str, names: Sequence[str]) -> str:
    while name in names:
        name = f"bucktail_{name}"
    return name


def csv_line(cells: Sequence[str]) -> str:
    """Return cells as one CSV line without its ending."""
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(cells)
    return out.getvalue()
