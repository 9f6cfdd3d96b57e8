"""`POST /v1/balance`."""

from __future__ import annotations

from bucktail_service.http.ask import add_post
from bucktail_service.schemas.balance import BALANCE, BalanceAnswer
from bucktail_service.text.balance import balance_text

add_post(
    "balance",
    takes=BALANCE,
    gives=BalanceAnswer,
    as_text=balance_text,
    told="Tell how a repair changes mass and static moment about a hinge line.",
    operation_id="balance",
)
