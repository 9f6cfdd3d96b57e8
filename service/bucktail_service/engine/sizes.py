"""Which rivet diameter a length means. Table: diameters."""

from __future__ import annotations

from fractions import Fraction

from bucktail_service.engine.errors import NotTabulated
from bucktail_service.engine.lengths import MM_PER_INCH, Length
from bucktail_tables.model import Edition, Row

DIAMETER_EXAMPLE = "1/8, 0.125 or 3.2 mm"


def find_diameter(length: Length, edition: Edition) -> Row:
    """Return the row of the rivet diameter *length* names.

    Takes the exact size, the size as it is rounded (.156 or .1563 for 5/32, 3.97 mm), or its name in metric lists
    (3.2 mm for 1/8), never merely the nearest size.

    Raises:
        NotTabulated: It is none of the edition's sizes.
    """
    metric = length.inches * MM_PER_INCH if length.text.endswith("mm") else None
    for row in edition["diameters"]:
        nominal = row.number("nominal_in")
        if metric is None and is_rounded(length.inches, nominal, (3, 4)):
            return row
        if metric is not None and is_rounded(metric, nominal * MM_PER_INCH, (2, 3, 4)):
            return row
        if metric is not None and row.maybe("metric_name_mm") == metric:
            return row
    raise NotTabulated(
        "diameter", f"{length} is not a rivet diameter of this edition{_hint(length, edition)}", _all(edition)
    )


def is_rounded(value: Fraction, nominal: Fraction, places: tuple[int, ...]) -> bool:
    """Return whether *value* is *nominal*, or *nominal* rounded up or down at one of *places* decimals."""
    if value == nominal:
        return True
    return any((value * 10**place).denominator == 1 and abs(value - nominal) * 2 * 10**place <= 1 for place in places)


def _all(edition: Edition) -> str:
    return "one of " + ", ".join(row.text("fraction") for row in edition["diameters"])


def _hint(length: Length, edition: Edition) -> str:
    for row in edition["diameters"]:
        if length.inches == row.number("dash"):
            return f" (for dash {row.text('dash')} write {row.text('fraction')}: dash numbers count thirty-seconds)"
    return ""
