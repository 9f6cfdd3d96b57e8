"""Checks that prove an edition whole, across its tables; also `python -m bucktail_tables.check [edition]`.

With `--stamp` the digest of a draft without flaws is noted; with `--report` how well each table is known is printed.

The loader has already checked each cell against the descriptor. The relations stand in `checks_*.py`, one module a
subject: there the figures are held against each other and against relations that do not come from the tables.
"""

from __future__ import annotations

import sys
from collections.abc import Callable

from bucktail_tables import (
    checks_bolts,
    checks_couple,
    checks_grip,
    checks_grip_names,
    checks_heads,
    checks_inspect,
    checks_joint,
    checks_names,
    checks_order,
    checks_sizes,
    checks_spacing,
    checks_strength,
    checks_truth,
)
from bucktail_tables.checks_names import NEEDED_CAUTIONS, NEEDED_RULES, NUMBERED_RULES
from bucktail_tables.errors import BrokenEdition, TablesError
from bucktail_tables.flaws import Flaws
from bucktail_tables.load import check_references, load_edition, stamp
from bucktail_tables.model import Edition

__all__ = ["CHECKS", "NEEDED_CAUTIONS", "NEEDED_RULES", "NUMBERED_RULES", "check_edition", "main"]

CHECKS: tuple[Callable[[Edition], Flaws], ...] = (
    *checks_sizes.CHECKS,
    *checks_names.CHECKS,
    *checks_spacing.CHECKS,
    *checks_heads.CHECKS,
    *checks_strength.CHECKS,
    *checks_joint.CHECKS,
    *checks_couple.CHECKS,
    *checks_order.CHECKS,
    *checks_inspect.CHECKS,
    *checks_grip_names.CHECKS,
    *checks_grip.CHECKS,
    *checks_bolts.CHECKS,
    *checks_truth.CHECKS,
)


def check_edition(edition: Edition) -> list[BrokenEdition]:
    """Return every flaw found in *edition*, each naming table, row and column; empty when it is whole."""
    flaws = [flaw for check in CHECKS for flaw in _run(check, edition)]
    return list({str(flaw): flaw for flaw in flaws}.values())  # one cell may fail for many alloys: said once


def _run(check: Callable[[Edition], Flaws], edition: Edition) -> Flaws:
    """Yield what *check* finds; a table too odd for it is a flaw as well, never an error of the program."""
    try:
        yield from check(edition)
    except (ArithmeticError, LookupError, TypeError, ValueError) as error:
        yield BrokenEdition(edition.name, None, None, f"{check.__name__} cannot be checked: {error!r}")


def main(arguments: list[str]) -> int:
    """Print an edition's flaws, and a line or a report on it; with `--stamp` note its digest; return the exit code."""
    names = [word for word in arguments if not word.startswith("-")]
    try:
        edition = load_edition(names[0] if names else None)
        for table in edition.tables.values():
            check_references(table, edition.tables)
    except TablesError as error:
        print(error, file=sys.stderr)
        return 1
    flaws = check_edition(edition)
    for flaw in flaws:
        print(flaw, file=sys.stderr)
    if "--report" in arguments:
        from bucktail_tables.report import report  # noqa: PLC0415 - the check alone does not need it

        print(report(edition, CHECKS), end="")
    else:
        rows = sum(len(table) for table in edition.tables.values())
        print(
            f"{edition.name} ({edition.status}) {edition.sha256}: {len(edition.tables)} tables, {rows} rows, ", end=""
        )
        print(f"{len(CHECKS)} relations, {len(flaws)} flaws")
    if "--stamp" in arguments and not flaws:
        stamp(edition)
    return 1 if flaws else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
