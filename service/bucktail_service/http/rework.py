"""`POST /v1/rework`."""

from __future__ import annotations

from bucktail_service.http.ask import add_post
from bucktail_service.schemas.rework import REWORK, ReworkAnswer
from bucktail_service.text.rework import rework_text

add_post(
    "rework",
    takes=REWORK,
    gives=ReworkAnswer,
    as_text=rework_text,
    told="Judge every way to replace a rivet that failed, and plan the work.",
    operation_id="rework",
)
