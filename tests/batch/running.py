"""Short ways to run a batch and to say what one row should come to."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping
from typing import Any

from bucktail_service.asking.pick import COLUMNS, answer_pick
from bucktail_service.batch.run import Batch
from bucktail_service.engine.errors import QuestionError
from bucktail_service.flat import flat
from bucktail_service.problems import problem_of

HEADER = "diameter,alloy,head,stack"
GOOD = "1/8,AD,universal,0.040+0.040"
QUESTION = dict(zip(HEADER.split(","), GOOD.split(","), strict=True))


def run(data: bytes | str, reads: str = "csv", writes: str | None = None) -> bytes:
    """Return the whole output of a batch."""
    source = io.BytesIO(data.encode() if isinstance(data, str) else data)
    return b"".join(Batch("pick", source, reads, writes or reads))


def table(output: bytes) -> list[dict[str, str]]:
    """Return CSV output as rows, held to one cell for each column."""
    header, *rows = csv.reader(io.StringIO(output.decode(), newline=""), strict=True)
    assert len(set(header)) == len(header)
    return [dict(zip(header, row, strict=True)) for row in rows]


def objects(output: bytes, form: str) -> list[dict[str, Any]]:
    """Return NDJSON or JSON output read as strictly as JSON is written."""

    def refuse(name: str) -> None:
        raise AssertionError(f"{name} is not JSON")

    text = output.decode()
    if form == "json":
        return json.loads(text, parse_constant=refuse)
    assert text == "" or text.endswith("\n")
    return [json.loads(line, parse_constant=refuse) for line in text.splitlines()]


def single(question: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the question alone comes to: `{"answer": ...}` or `{"problem": ...}`."""
    try:
        return {"answer": answer_pick(question)}
    except QuestionError as error:
        return {"problem": problem_of(error)}


def single_cells(question: Mapping[str, Any]) -> dict[str, str]:
    """Return the cells that the question alone adds to a row of CSV."""
    alone = single(question)
    if "answer" in alone:
        return dict(zip(COLUMNS, flat(COLUMNS, alone["answer"]), strict=True)) | {"problem": ""}
    told = alone["problem"]
    code = told["type"].rpartition(":")[2]
    return dict.fromkeys(COLUMNS, "") | {"problem": f"{code}: {told['detail']}"}


def sheet(rows: list[Mapping[str, str]], names: list[str]) -> str:
    """Return rows as CSV text under a header of *names*."""
    out = io.StringIO()
    writer = csv.DictWriter(out, names, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()
