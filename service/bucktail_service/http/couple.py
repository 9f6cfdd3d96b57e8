"""`POST /v1/couple`."""

from __future__ import annotations

from bucktail_service.http.ask import add_post
from bucktail_service.schemas.couple import COUPLE, CoupleAnswer
from bucktail_service.text.couple import couple_text

add_post(
    "couple",
    takes=COUPLE,
    gives=CoupleAnswer,
    as_text=couple_text,
    told="Tell whether metals may touch, which one corrodes, and how to part them.",
    operation_id="couple",
)
