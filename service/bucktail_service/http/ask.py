"""What every question's routes share: its body, its formats, its answer as a response."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response
from marshmallow import Schema

from bucktail_service.answering import question
from bucktail_service.flat import answer_csv
from bucktail_service.http.answers import (
    MEDIA_TYPES,
    Writer,
    answer_response,
    chosen_format,
    json_writer,
    text_writer,
)
from bucktail_service.http.openapi import question_body
from bucktail_service.http.operation import operation
from bucktail_service.http.problems import refuse
from bucktail_service.http.requests import FORMAT_PARAMETER, json_object, query_fields
from bucktail_service.http.superseded import HEADERS
from bucktail_service.text.common import TextOf

_TEXTS = {"text/csv": {"schema": {"type": "string"}}, "text/plain": {"schema": {"type": "string"}}}
PROBLEMS = (400, 404, 406, 413, 415, 422, 500)


def writers(name: str, as_text: TextOf) -> dict[str, Writer]:
    """Return the writers of a question's answer."""
    columns = question(name).columns
    return {
        "json": json_writer,
        "csv": text_writer(lambda answer: answer_csv(columns, answer)),
        "text": text_writer(as_text),
    }


def responses(gives: type[Schema], told: str) -> dict[int, dict[str, Any]]:
    """Return the OpenAPI response of a question's answer."""
    content = {"application/json": {"schema": gives}, **_TEXTS}
    return {200: {"description": told, "headers": HEADERS, "content": content}}


def answered(name: str, payload: Mapping[str, Any], formats: Mapping[str, Writer], asked: str | None) -> Response:
    """Return the answer to a payload in the format asked for, or the problem of a format nobody offers."""
    chosen = chosen_format(asked, formats)
    if chosen is None:
        *others, last = (MEDIA_TYPES[name] for name in formats)
        offered = ", ".join(others)
        return refuse(406, "Not acceptable", f"offers {offered} and {last}", "Accept", f"{offered} or {last}")
    return answer_response(question(name).answer(payload), formats, chosen, payload.get("edition"))


def add_post(name: str, *, takes: Schema, gives: type[Schema], as_text: TextOf, told: str, operation_id: str) -> None:
    """Put down `POST /v1/<name>`: a question asked in JSON.

    Args:
        name: The question.
        takes: Its schema.
        gives: The schema of its answer.
        as_text: Its answer as text.
        told: Summary for the document.
        operation_id: For generated clients.
    """
    formats = writers(name, as_text)

    def post() -> Response:
        asked = query_fields(allowed=("format",))
        body = json_object()
        return body if isinstance(body, Response) else answered(name, body, formats, asked.get("format"))

    post.__doc__ = told
    operation(
        "post",
        f"/v1/{name}",
        operation_id=operation_id,
        parameters=(FORMAT_PARAMETER,),
        request=question_body(takes, question(name).example),
        responses=responses(gives, told),
        problems=PROBLEMS,
    )(post)
