"""The OpenAPI document: generated requests get documented answers, valid ones are taken, invalid ones refused."""

from __future__ import annotations

import schemathesis
from hypothesis import HealthCheck, settings

from bucktail_service.app import create_app
from bucktail_service.config import Settings

schema = schemathesis.openapi.from_wsgi("/v1/openapi.json", create_app(Settings()))


@schemathesis.serializer("application/x-ndjson")
def lines(ctx, value):
    # only text is a body of this type; anything else the generator tries is sent as no body at all
    return value.encode() if isinstance(value, str) else b""


@schema.parametrize()
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
def test_generated_requests_get_what_the_document_promises(case):
    case.call_and_validate()
