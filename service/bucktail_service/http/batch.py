"""`POST /v1/batch/{question}`."""

from __future__ import annotations

from collections.abc import Iterator
from tempfile import SpooledTemporaryFile
from typing import Any, BinaryIO, cast

from flask import Response, current_app, request

from bucktail_service.answering import QUESTIONS
from bucktail_service.batch.run import Batch
from bucktail_service.engine.lengths import shown
from bucktail_service.http.answers import best_accepted
from bucktail_service.http.operation import operation
from bucktail_service.http.problems import refuse
from bucktail_service.http.requests import body_parts, query_fields
from bucktail_service.problems import BadFields, FieldError

MEDIA_TYPES = {"csv": "text/csv", "ndjson": "application/x-ndjson", "json": "application/json"}
READS = {media_type: name for name, media_type in MEDIA_TYPES.items()}
_SPOOL_IN_MEMORY = 1024 * 1024
_CSV_EXAMPLE = "diameter,alloy,head,stack\n1/8,AD,universal,0.040+0.040\n"

_CSV: dict[str, Any] = {
    "type": "string",
    "description": "A header and rows. Columns may stand in any order; others than the question's are carried through.",
    "pattern": r"^diameter,alloy,head,stack(?:\r?\n|$)",
}
_LINES: dict[str, Any] = {
    "type": "string",
    "description": 'One question on each line: {"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": ".08"}',
    "pattern": r"[^ \t\r\n]",
}

_BATCH_FORMAT: dict[str, Any] = {
    "name": "format",
    "in": "query",
    "required": False,
    "description": "Format of the results; goes before the Accept header. The body's own format when neither says.",
    "schema": {"type": "string", "enum": list(MEDIA_TYPES)},
}
_RESULTS = {
    "type": "array",
    "items": {
        "type": "object",
        "required": ["row"],
        "properties": {"row": {"type": "integer"}, "carried": {"type": "object"}},
    },
}


@operation(
    "post",
    "/v1/batch/<question>",
    operation_id="batch",
    parameters=(
        {
            "name": "question",
            "in": "path",
            "required": True,
            "description": "The question every row asks.",
            "schema": {"type": "string", "enum": list(QUESTIONS)},
        },
        _BATCH_FORMAT,
    ),
    request={
        "required": True,
        "content": {
            "text/csv": {"schema": _CSV, "example": _CSV_EXAMPLE},
            "application/x-ndjson": {"schema": _LINES},
            "application/json": {
                "schema": {"type": "array", "description": "Questions; an item that is none is a problem in its place."}
            },
        },
    },
    responses={
        200: {
            "description": "One result per row, in order: an answer or a problem.",
            "content": {
                "text/csv": {"schema": {"type": "string"}},
                "application/x-ndjson": {"schema": {"type": "string"}},
                "application/json": {"schema": _RESULTS},
            },
        }
    },
    problems=(404, 406, 413, 415, 422, 500),
)
def post_batch(question: str) -> Response:
    """Ask one question many times, from a file.

    Results stream in the order of the rows. A bad row is a problem in its place; the others go on.
    """
    asked = query_fields(allowed=("format",))
    if question not in QUESTIONS:
        return refuse(
            404, "No such question", f"there is no batch of {question[:40]!r}", "question", ", ".join(QUESTIONS)
        )
    reads = READS.get(request.mimetype)
    charset = request.mimetype_params.get("charset", "utf-8").lower()
    if reads is None or charset not in ("utf-8", "utf8", "us-ascii"):
        detail = f"the body is {request.content_type or 'of no type'}; text/csv, NDJSON or JSON in UTF-8 is needed"
        return refuse(
            415, "Unsupported media type", detail, "Content-Type", "text/csv, application/x-ndjson or application/json"
        )
    writes = _writes(asked.get("format"), reads)
    if writes is None:
        detail = f"offers {', '.join(MEDIA_TYPES.values())}"
        return refuse(406, "Not acceptable", detail, "Accept", "text/csv")
    # the whole body is taken before the first result is written: a sender that does not read cannot block us
    spool = cast("BinaryIO", SpooledTemporaryFile(max_size=_SPOOL_IN_MEMORY))  # noqa: SIM115  closed with the response
    try:
        for part in body_parts(current_app.config["BUCKTAIL_SETTINGS"].max_batch_body):
            spool.write(part)
        spool.seek(0)
        batch = Batch(question, spool, reads, writes)
    except BaseException:
        spool.close()
        raise
    response = Response(_streamed(batch, spool), mimetype=MEDIA_TYPES[writes])
    response.headers["Cache-Control"] = "no-store"
    response.headers["Vary"] = "Accept"
    response.call_on_close(spool.close)
    return response


def _streamed(batch: Batch, spool: BinaryIO) -> Iterator[bytes]:
    with spool:
        yield from batch


def _writes(asked: str | None, reads: str) -> str | None:
    if asked is not None:
        if asked not in MEDIA_TYPES:
            raise BadFields([FieldError("format", f"{shown(asked)} is not one of {', '.join(MEDIA_TYPES)}", "csv")])
        return asked
    accept = request.headers.get("Accept")
    if not accept or accept == "*/*":
        return reads
    ordered = [MEDIA_TYPES[reads], *(media for name, media in MEDIA_TYPES.items() if name != reads)]
    best = best_accepted(ordered)
    return READS.get(best) if best else None
