"""Probes and the document."""

from __future__ import annotations

from flask import Response

from bucktail_service.http.answers import UNPINNED
from bucktail_service.http.encode import as_json
from bucktail_service.http.openapi import document
from bucktail_service.http.operation import operation
from bucktail_service.http.requests import query_fields
from bucktail_tables.load import default_name, load_edition

_STATUS = {"type": "object", "required": ["status"], "properties": {"status": {"type": "string"}}}


def _json(body: object) -> Response:
    query_fields(allowed=())
    response = Response(as_json(body), mimetype="application/json")
    response.headers["Cache-Control"] = UNPINNED
    return response


@operation(
    "get",
    "/healthz",
    operation_id="alive",
    responses={200: {"description": "The process answers.", "content": {"application/json": {"schema": _STATUS}}}},
    problems=(422, 500),
)
def get_health() -> Response:
    """Say that the process answers."""
    return _json({"status": "ok"})


@operation(
    "get",
    "/readyz",
    operation_id="ready",
    responses={200: {"description": "The tables are loaded.", "content": {"application/json": {"schema": _STATUS}}}},
    problems=(422, 500),
)
def get_ready() -> Response:
    """Say that the tables are loaded, and which edition answers by default."""
    edition = load_edition(default_name())
    return _json({"status": "ready", "edition": edition.name, "sha256": edition.sha256})


@operation(
    "get",
    "/v1/openapi.json",
    operation_id="openapi",
    responses={200: {"description": "This document.", "content": {"application/json": {"schema": {"type": "object"}}}}},
    problems=(422, 500),
)
def get_document() -> Response:
    """Show this document."""
    return _json(document())
