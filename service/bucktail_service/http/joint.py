"""`POST /v1/joint`."""

from __future__ import annotations

from bucktail_service.http.ask import add_post
from bucktail_service.schemas.joint import JOINT, JointAnswer
from bucktail_service.text.joint import joint_text

add_post(
    "joint",
    takes=JOINT,
    gives=JointAnswer,
    as_text=joint_text,
    told="Tell what a joint carries, what governs it, how many pieces a splice takes and where they go.",
    operation_id="joint",
)
