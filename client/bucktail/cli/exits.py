"""How the command ends, for scripts."""

from __future__ import annotations

from enum import IntEnum

from bucktail import errors


class Exit(IntEnum):
    """Exit codes of `bucktail`."""

    OK = 0
    NO_ANSWER = 1
    USAGE = 2
    UNREACHABLE = 3
    SERVICE_FAULT = 4
    ROWS_REFUSED = 5


EXITS_HELP = (
    "Exit codes: 0 answered; 1 the tables do not answer this; 2 the question cannot be understood; "
    "3 no service at the address; 4 the service failed; 5 a batch with refused rows, an order with rejected lines."
)


def exit_of(error: errors.BucktailError) -> Exit:
    """Return the exit code of an error."""
    if isinstance(error, errors.NoAnswer | errors.UnknownEdition):
        return Exit.NO_ANSWER
    if isinstance(error, errors.BadQuestion):
        return Exit.USAGE
    if isinstance(error, errors.Unreachable):
        return Exit.UNREACHABLE
    if isinstance(error, errors.RequestRefused):
        return Exit.USAGE
    return Exit.SERVICE_FAULT
