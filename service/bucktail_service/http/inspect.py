"""`POST /v1/inspect`."""

from __future__ import annotations

from bucktail_service.http.ask import add_post
from bucktail_service.schemas.inspect import INSPECT, InspectAnswer
from bucktail_service.text.inspect import inspect_text

add_post(
    "inspect",
    takes=INSPECT,
    gives=InspectAnswer,
    as_text=inspect_text,
    told="Hold what was measured of installed fasteners to the limits of each practice.",
    operation_id="inspect",
)
