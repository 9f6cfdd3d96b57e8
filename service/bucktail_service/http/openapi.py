"""The operations as an OpenAPI 3.1 document, made from the code that answers."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from apispec import APISpec
from apispec.ext.marshmallow import MarshmallowPlugin
from marshmallow import Schema, fields

from bucktail_service.http.operation import OPERATIONS
from bucktail_service.problems import MEDIA_TYPE
from bucktail_service.schemas.answers import Problem
from bucktail_service.schemas.fields import NameField, QuestionField
from bucktail_service.schemas.questions import PICK

VERSION = "1"
DESCRIPTION = (
    "Answers questions around replacing rivets in light aircraft from versioned tables, each figure with its source. "
    "General figures only: the manufacturer's data, local rules and licensed people decide."
)

PROBLEM_TEXTS = {
    400: "The request cannot be read.",
    404: "There is no such page, edition or row in the tables.",
    406: "None of the formats offered is acceptable.",
    413: "The body is larger than the limit.",
    415: "The body's media type is not one this question reads.",
    422: "The question cannot be understood; every field that is wrong is named.",
    500: "The service failed.",
    503: "The service is not ready.",
}


def question_property(field: fields.Field[Any]) -> dict[str, Any]:
    """Return the JSON schema of one of our own fields: exactly what its reader takes."""
    if isinstance(field, NameField):
        return {"type": "string", "enum": field.names}
    return dict(field.json_schema) if isinstance(field, QuestionField) else {}


def query_parameters() -> tuple[dict[str, Any], ...]:
    """Return the fields of the pick question as query parameters: text only."""
    parameters = []
    for name, field in PICK.fields.items():
        schema = question_property(field)
        texts = [entry for entry in schema.get("oneOf", ()) if entry["type"] == "string"]
        parameters.append(
            {
                "name": name,
                "in": "query",
                "required": field.required,
                "description": field.metadata["description"],
                "schema": texts[0] if texts else schema,
                "example": field.metadata["example"],
            }
        )
    return tuple(parameters)


def question_body(schema: Schema, example: Mapping[str, Any]) -> dict[str, Any]:
    """Return a question as a JSON request body: exactly what its schema takes."""
    properties = {
        name: {**question_property(field), "description": field.metadata["description"]}
        for name, field in schema.fields.items()
    }
    body = {
        "type": "object",
        "properties": properties,
        "required": [name for name, field in schema.fields.items() if field.required],
        "additionalProperties": False,
    }
    return {"required": True, "content": {"application/json": {"schema": body, "example": dict(example)}}}


@lru_cache(maxsize=1)
def document() -> dict[str, Any]:
    """Return the whole document."""
    spec = APISpec(
        title="bucktail",
        version=VERSION,
        openapi_version="3.1.0",
        info={"description": DESCRIPTION, "license": {"name": "MIT", "identifier": "MIT"}},
        plugins=[MarshmallowPlugin()],
    )
    spec.components.schema("Problem", schema=Problem)
    for operation in OPERATIONS:
        entry: dict[str, Any] = {
            "operationId": operation.operation_id,
            "summary": operation.summary,
            "parameters": list(operation.parameters),
            "responses": {str(status): dict(response) for status, response in operation.responses.items()},
        }
        if operation.description:
            entry["description"] = operation.description
        if operation.request is not None:
            entry["requestBody"] = operation.request
        for status in operation.problems:
            entry["responses"][str(status)] = {
                "description": PROBLEM_TEXTS[status],
                "content": {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}},
            }
        spec.path(path=operation.path, operations={operation.method: entry})
    result: dict[str, Any] = spec.to_dict()
    return result
