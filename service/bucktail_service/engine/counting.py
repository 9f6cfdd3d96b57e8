"""The counts of a joint question as blocks of its answer: the count table and the strength method, side by side."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.blocks import Block, rule_row
from bucktail_service.engine.facts import Facts
from bucktail_service.engine.rounding import half_even, put, say
from bucktail_service.engine.sources import Ledger
from bucktail_service.engine.splice import (
    BOLT,
    COUNTED_ALLOY,
    Cell,
    choose_table,
    count_pieces,
    fasteners_at,
    find_cell,
    strength_method,
    strength_pieces,
    strength_steps,
)
from bucktail_tables.model import Row


@dataclass(frozen=True, slots=True)
class SpliceAsked:
    """What is spliced: its sheet [in] and material, the table asked for, the member, the width [in], the shear."""

    thickness: Fraction
    material: str | None
    table: str | None
    member: str
    width: Fraction | None
    shear: str


def splice_blocks(
    asked: SpliceAsked | None, facts: Facts, ledger: Ledger, missing: list[str], reasons: list[str]
) -> tuple[Block | None, Block | None, int]:
    """Return the blocks of both methods, None where one has no figure, and the pieces a layout must place.

    Those are the count table's; the strength method's where the table has none, and 0 where neither has.
    """
    if asked is None:
        return None, None, 0
    if asked.shear == "double":
        missing += ["splice.per_inch", "strength_method.pieces"]
        reasons.append("both counts of a splice are for single shear")
        return None, None, 0
    table = _table(asked, facts, reasons)
    counted = None if table is None else _counted(asked, table, facts, ledger, reasons)
    if counted is None:
        missing.append("splice.per_inch")
    strength = _strength(asked, facts, ledger, reasons)
    if strength is None:
        missing.append("strength_method.pieces")
    ruling = counted or strength
    return counted, strength, 0 if ruling is None else ruling["pieces"] or 0


def _table(asked: SpliceAsked, facts: Facts, reasons: list[str]) -> Row | None:
    letters = facts.choice.material.text("alloy")
    if letters != COUNTED_ALLOY or facts.choice.is_flush:
        reasons.append("the count tables are for 2117 (AD) rivets with protruding heads")
        return None
    edition = facts.edition
    table = edition["splice_tables"].find(asked.table) if asked.table else choose_table(asked.material, edition)
    if table is None:
        reasons.append(f"no count table is for {asked.material or 'a sheet whose material is not said'}")
    elif not asked.table and table.text("note"):
        reasons.append(f"table {table.text('table')} for {asked.material}: {table.text('note')}")
    return table


def _counted(asked: SpliceAsked, table: Row, facts: Facts, ledger: Ledger, reasons: list[str]) -> Block | None:
    name, edition, fastener = table.text("table"), facts.edition, facts.diameter.text("fraction")
    cell = find_cell(name, asked.thickness, fastener, edition)
    if cell is None:
        others = ", ".join(fasteners_at(name, asked.thickness, edition)) or "nothing"
        reasons.append(f"table {name} has no cell for {fastener} in {say(asked.thickness)} in; it has {others}")
        return None
    member = edition["splice_members"].by_key[(asked.member,)]
    block: Block = {"table": name, "material": table.text("material")}
    put(block, "thickness", asked.thickness)
    put(block, "row_thickness", cell.row.number("thickness_in"))
    block |= {"fastener": fastener, "per_inch": half_even(cell.per_inch, 1), "member": asked.member}
    block["percent"] = int(member.number("percent"))
    put(block, "width", asked.width)
    block["pieces"], block["steps"] = _pieces(cell.per_inch, member, asked.width)
    block["bolt"] = _bolt(find_cell(name, asked.thickness, BOLT, edition), member, asked.width)
    ledger.cite(cell.row, "splice.per_inch", "splice.pieces")
    ledger.cite(table, "splice.table")
    ledger.cite(member, "splice.percent", "splice.pieces")
    ledger.cite(rule_row(edition, "rules", "splice_rounding"), "splice.pieces")
    if not cell.exact:
        used = cell.row.text("thickness_in")
        reasons.append(f"{say(asked.thickness)} in is no row of table {name}: the thicker {used} in asks for no fewer")
    reasons += [f"table {name}: {step}" for step in block["steps"]]
    return block


def _pieces(per_inch: Fraction, member: Row, width: Fraction | None) -> tuple[int | None, list[str]]:
    return (None, []) if width is None else count_pieces(per_inch, member, width)


def _bolt(cell: Cell | None, member: Row, width: Fraction | None) -> Block | None:
    if cell is None:
        return None
    pieces, _ = _pieces(cell.per_inch, member, width)
    return {"fastener": BOLT, "per_inch": half_even(cell.per_inch, 1), "pieces": pieces}


def _strength(asked: SpliceAsked, facts: Facts, ledger: Ledger, reasons: list[str]) -> Block | None:
    number, fraction = facts.choice.material.text("number"), facts.diameter.text("fraction")
    method = strength_method(number, fraction, facts.size, asked.thickness, facts.edition)
    if method is None:
        reasons.append(f"the strength method has no shear for {facts.choice.material.text('name')} rivets")
        return None
    steps = [] if asked.width is None else strength_steps(method, asked.thickness, asked.width)
    reasons += [f"strength method: {step}" for step in steps]
    for row in method.rows:
        ledger.cite(row, "strength_method.per_inch", "strength_method.pieces")
    ledger.cite(method.rows[0], "strength_method.shear")
    ledger.cite(method.rows[1], "strength_method.bearing")
    block: Block = {}
    put(block, "thickness", asked.thickness)
    put(block, "width", asked.width)
    return {
        **block,
        "shear_lbf": half_even(method.shear, 1),
        "bearing_lbf": half_even(method.bearing, 1),
        "shear_from": "table" if method.shear_tabulated else "stress",
        "bearing_from": "table" if method.bearing_tabulated else "stress",
        "per_inch": half_even(method.per_inch, 4),
        "pieces": None if asked.width is None else strength_pieces(method, asked.width),
        "steps": steps,
    }
