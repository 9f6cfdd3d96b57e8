"""Which fastener chosen by grip a question means. Tables: grip_standards, grip_offered, bolt_series, diameters."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from bucktail_service.engine.errors import NotTabulated
from bucktail_service.engine.lengths import MM_PER_INCH, Length
from bucktail_service.engine.sizes import is_rounded
from bucktail_tables.model import Edition, Row

FAMILIES = ("blind", "bolt", "pin")
# what else a head may be called where its own name stands in grip_standards
ALSO = {("blind", "universal"): "protruding", ("pin", "universal"): "protruding", ("bolt", "hexagon"): "hex"}
DRILLED_HEAD = "H"
_SIXTEENTHS = 16
_THIRTY_SECONDS = 32


@dataclass(frozen=True, slots=True)
class GripChoice:
    """A standard in a material and a diameter, and the other standards that would have answered.

    Attributes:
        standard: Row of grip_standards.
        offered: Row of grip_offered.
        dash: The diameter in the part number: thirty-seconds for rivets and pins, sixteenths for bolts.
        fraction: The diameter as a fraction of an inch.
        nominal: The diameter. [in]
        others: Other standards of the same head that come in this material and size.
        drilled_head: True for a bolt whose head is drilled for lockwire.
        size_row: The row that says what the dash is: of diameters or bolt_series; None where the rule alone does.
    """

    standard: Row
    offered: Row
    dash: int
    fraction: str
    nominal: Fraction
    others: tuple[str, ...] = ()
    drilled_head: bool = False
    size_row: Row | None = None

    @property
    def name(self) -> str:
        """The standard's number or our word for it."""
        return self.standard.text("standard")

    @property
    def is_flush(self) -> bool:
        """True for countersunk heads."""
        return self.standard.text("cone_angle_deg") != ""


def named_standard(head: str, edition: Edition) -> tuple[Row, bool] | None:
    """Return the standard that goes by the name *head*, and whether it is said to have a drilled head: `AN4H`."""
    name = _plain(head)
    row = _standards(edition).get(name)
    if row is not None:
        return row, False
    row = _standards(edition).get(name.removesuffix(DRILLED_HEAD))
    return None if row is None or row.text("number_format") != "an-bolt" else (row, True)


def families_of_head(head: str, edition: Edition) -> list[str]:
    """Return the families that a standard or a head of that name is of; none for heads of solid rivets alone."""
    named = named_standard(head, edition)
    if named is not None:
        return [named[0].text("family")]
    heads = {(row.text("family"), row.text("head")) for row in edition["grip_standards"]}
    return [family for family in FAMILIES if (family, _head_of(family, head)) in heads]


def _head_of(family: str, head: str) -> str:
    """Return a head as the family's standards call it."""
    return ALSO.get((family, head.casefold()), head.casefold())


def choose(family: str, head: str, alloy: str, diameter: Length, edition: Edition) -> GripChoice:
    """Return the standard, material and size that a question means.

    Args:
        family: `blind`, `bolt` or `pin`.
        head: A head (`protruding`, `flush-100`, `hex`) or a standard (`NAS1398`, `AN4`, `AN4H` with a drilled head).
        alloy: The letters of the numbers, our word where they have none (`steel`), or the material.
        diameter: Nominal diameter, also as it is rounded. [in]
        edition: The tables to read.

    Raises:
        NotTabulated: The family has no such head; the standard lacks data, or does not come in that material or size.
    """
    standards, drilled = _find(family, head, edition)
    reasons: list[NotTabulated] = []
    found: list[GripChoice] = []
    for standard in standards:
        try:
            found.append(_fit(standard, alloy, diameter, drilled, edition))
        except NotTabulated as error:
            reasons.append(error)
    if not found:
        raise next((error for error in reasons if error.field == "alloy"), reasons[0])
    first = found[0]
    others = tuple(other.name for other in found[1:] if other.standard.text("use") == "structural")
    return GripChoice(
        first.standard, first.offered, first.dash, first.fraction, first.nominal, others, drilled, first.size_row
    )


def _find(family: str, head: str, edition: Edition) -> tuple[list[Row], bool]:
    named = named_standard(head, edition)
    if named is not None and named[0].text("family") == family:
        return [named[0]], named[1]
    if named is not None:
        other = named[0].text("family")
        raise NotTabulated("head", f"{head} is a {other} fastener, not a {family} one", f"family {other}")
    wanted = _head_of(family, head)
    rows = [row for row in edition["grip_standards"] if row.text("family") == family and row.text("head") == wanted]
    rows = [row for row in rows if not row.text("missing") and row.text("use") == "structural"] or rows
    if not rows:
        heads = dict.fromkeys(row.text("head") for row in edition["grip_standards"] if row.text("family") == family)
        known = ", ".join(name for name in heads if name != "unknown")
        raise NotTabulated("head", f"{head!r} is not a head of a {family} fastener", f"one of {known}, or a standard")
    return rows, False


def refuse_missing(standard: Row, field: str, edition: Edition) -> NotTabulated:
    """Return the problem of a standard that lacks data: what is missing, and which document would give it."""
    family = standard.text("family")
    good = next(
        row.text("standard")
        for row in edition["grip_standards"]
        if row.text("family") == family and not row.text("missing") and row.text("use") == "structural"
    )
    told = f"this edition lacks data of {standard.text('standard')}: {standard.text('missing')}"
    return NotTabulated(field, told, good)


def _fit(standard: Row, alloy: str, diameter: Length, drilled: bool, edition: Edition) -> GripChoice:
    if standard.text("missing"):
        raise refuse_missing(standard, "head", edition)
    offered = find_offered(standard, alloy, edition)
    if offered is None:
        rows = [row for row in edition["grip_offered"] if row.text("offers") == standard.text("offers")]
        known = ", ".join(row.text("alloy") for row in rows)
        name = standard.text("standard")
        raise NotTabulated("alloy", f"{name} does not come in {alloy} in this edition", f"one of {known}")
    for size in sizes(standard, edition):
        if _is_size(diameter, size, edition):
            return GripChoice(standard, offered, size.dash, size.fraction, size.nominal, (), drilled, size.row)
    known = ", ".join(size.fraction for size in sizes(standard, edition))
    name = standard.text("standard")
    raise NotTabulated("diameter", f"{diameter} is not a size of {name} in this edition", f"one of {known}")


@dataclass(frozen=True, slots=True)
class Size:
    """A diameter a standard comes in, and the row that says so where there is one."""

    dash: int
    fraction: str
    nominal: Fraction
    row: Row | None


def sizes(standard: Row, edition: Edition) -> list[Size]:
    """Return the diameters a standard comes in."""
    unit = _SIXTEENTHS if standard.text("family") == "bolt" else _THIRTY_SECONDS
    found = []
    for word in standard.words("sizes"):
        nominal = Fraction(int(word), unit)
        fraction = str(nominal)
        series = edition["bolt_series"].find(standard.text("standard")) if standard.text("family") == "bolt" else None
        row = series if series is not None else _diameter_row(fraction, edition)
        found.append(Size(int(word), fraction, nominal, row))
    return found


def _diameter_row(fraction: str, edition: Edition) -> Row | None:
    return next((row for row in edition["diameters"] if row.text("fraction") == fraction), None)


def _is_size(diameter: Length, size: Size, edition: Edition) -> bool:
    """Return whether a length names a size: exactly, rounded, or as No. 10 (0.190 in) is called for 3/16."""
    if diameter.text.endswith("mm"):
        metric = diameter.inches * MM_PER_INCH
        return is_rounded(metric, size.nominal * MM_PER_INCH, (2, 3, 4)) or metric == _metric_name(size, edition)
    if is_rounded(diameter.inches, size.nominal, (3, 4)):
        return True
    return size.fraction == "3/16" and diameter.inches == Fraction(19, 100)


def _metric_name(size: Size, edition: Edition) -> Fraction | None:
    """Return what metric lists call a diameter, 3.2 mm for 1/8. [mm]"""
    row = _diameter_row(size.fraction, edition)
    return None if row is None else row.maybe("metric_name_mm")


def find_offered(standard: Row, alloy: str, edition: Edition) -> Row | None:
    """Return the row of the material *alloy* of a standard: by its letters, our word for it, or its name."""
    wanted = alloy.strip().casefold()
    rows = [row for row in edition["grip_offered"] if row.text("offers") == standard.text("offers")]
    for row in rows:
        names = {row.text("alloy").casefold(), row.text("name").casefold(), row.text("material").casefold()}
        names.add(row.text("name").casefold().split("-")[0])
        if wanted in names - {""}:
            return row
    # where a standard's numbers name one material or none, they leave nothing to choose
    return rows[0] if len(rows) == 1 and rows[0].text("alloy") == "any" else None


@lru_cache(maxsize=32)
def _standards(edition: Edition) -> dict[str, Row]:
    return {_plain(row.text("standard")): row for row in edition["grip_standards"]}


def _plain(name: str) -> str:
    return name.strip().upper()


def grip_head_names(edition: Edition) -> list[str]:
    """Return every head and standard of these families that a question may use."""
    names = [row.text("head") for row in edition["grip_standards"] if row.text("head") != "unknown"]
    names += [also for _, also in ALSO]
    for row in edition["grip_standards"]:
        names.append(row.text("standard"))
        if row.text("number_format") == "an-bolt":
            names.append(row.text("standard") + DRILLED_HEAD)
    return list(dict.fromkeys(names))


def grip_alloy_names(edition: Edition) -> list[str]:
    """Return every material of these families that a question may use."""
    names = [row.text(column) for row in edition["grip_offered"] for column in ("alloy", "name", "material")]
    names += [row.text("name").split("-")[0] for row in edition["grip_offered"]]
    return [name for name in dict.fromkeys(names) if name]
