"""The ways to replace a rivet, each held against every rule line by line.

A check passes, fails, is to be heeded, or is unknown because a figure was not given. An option passes when nothing
fails.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from bucktail_service.engine.cautions import countersink_codes
from bucktail_service.engine.checks import (
    bearing_ratio,
    bored,
    couple_checks,
    distance_checks,
    repair_limit_checks,
    strength_check,
)
from bucktail_service.engine.errors import QuestionError
from bucktail_service.engine.facts import Facts, rivet_facts
from bucktail_service.engine.grip.rework import ONE_SIDED, grip_options
from bucktail_service.engine.installed import Installed
from bucktail_service.engine.joints import thin_sheet_factor
from bucktail_service.engine.lengths import Length, parse_length
from bucktail_service.engine.model import PickQuestion
from bucktail_service.engine.option import FAIL, HEED, PASS, UNKNOWN, Check, Found, Option
from bucktail_service.engine.pick import work_out
from bucktail_service.engine.rounding import say
from bucktail_service.engine.shear import single_shear
from bucktail_tables.model import Edition, Row


@dataclass(frozen=True, slots=True)
class _Candidate:
    name: str
    title: str
    diameter: Length
    alloy: str
    head: str
    enlarges: bool = field(default=False)


def judge_options(installed: Installed, found: Found, edition: Edition) -> list[Option]:
    """Return every option judged, in the order the documents prefer them."""
    before = rivet_facts(installed.head, installed.alloy, installed.diameter, found.practice, edition)
    options = [_judged(candidate, before, found, edition) for candidate in _candidates(installed, before, edition)]
    return [*options[:1], _oversize_shank(before, found, edition), *options[1:], *grip_options(before, found, edition)]


def _candidates(installed: Installed, before: Facts, edition: Edition) -> list[_Candidate]:
    head = installed.head
    found = [_Candidate("same-size", "same rivet again", installed.diameter, installed.alloy, head)]
    successor = before.choice.standard.text("replaced_by")
    if successor:
        title = f"universal head {successor} in place of this head"
        found.insert(0, _Candidate("universal-head", title, installed.diameter, installed.alloy, successor))
    larger = next_size(before.diameter, edition)
    if larger is not None:
        size = parse_length(larger.text("fraction"))
        found.append(
            _Candidate("next-size", f"next size, {larger.text('fraction')}", size, installed.alloy, head, True)
        )
    standard = before.choice.standard.text("standard")
    offers = [row.text("alloy") for row in edition["offered"] if row.text("standard") == standard]
    for alloy in offers:
        material = edition["materials"].by_key[(alloy,)]
        # KE is E with another finish: one line for both
        if alloy in (installed.alloy, "KE") or not material.flag("structural"):
            continue
        name = material.text("name")
        found.append(_Candidate(f"alloy-{alloy}", f"{name} in the same size", installed.diameter, alloy, head))
        if larger is not None:
            title = f"{name} in the next size, {larger.text('fraction')}"
            found.append(_Candidate(f"next-size-alloy-{alloy}", title, size, alloy, head, True))
    return found


def next_size(diameter: Row, edition: Edition) -> Row | None:
    """Return the row of the next larger rivet diameter, or None after the largest."""
    rows = list(edition["diameters"])
    at = rows.index(diameter) + 1
    return rows[at] if at < len(rows) else None


def _judged(candidate: _Candidate, before: Facts, found: Found, edition: Edition) -> Option:
    question = PickQuestion(
        candidate.diameter, candidate.alloy, candidate.head, found.stack, found.tolerance, practice=found.practice
    )
    try:
        facts = rivet_facts(candidate.head, candidate.alloy, candidate.diameter, found.practice, edition)
    except QuestionError as error:
        return Option(candidate.name, candidate.title, None, None, (Check("tables", FAIL, error.detail),))
    try:
        picked = work_out(question, edition)
        length = Check("length", PASS, f"-{picked.choice.dash} fits the stack", rows=tuple(facts.window.rows.values()))
    except QuestionError as error:
        picked, length = None, Check("length", FAIL, error.detail)
    material = facts.choice.material
    same_alloy = material is before.choice.material
    kept, bearing_kept = shear_kept(before, facts, found, edition), bearing_kept_of(before, facts, found, edition)
    checks = [
        _access(found),
        length,
        _hole(before, facts, found),
        *distance_checks(found, facts.size, facts.distances),
        *_head(before, facts, found),
        _substitution(before, facts, edition),
        strength_check("shear", kept),
        strength_check("bearing", bearing_kept),
        *_flush_strength(before, facts, found, edition),
        *couple_checks(material.text("alloy"), material.text("number"), found, edition),
        *(repair_limit_checks(found) if candidate.enlarges else []),
    ]
    growth = max(facts.holes.final.diameter - (found.hole or before.holes.final.diameter), Fraction(0))
    return Option(
        candidate.name,
        candidate.title,
        picked,
        facts,
        tuple(checks),
        kept,
        bearing_kept,
        growth,
        same_alloy,
        candidate.enlarges,
    )


def _access(found: Found) -> Check:
    if found.access == "both":
        return Check("access", PASS, "both sides can be reached")
    return Check(
        "access",
        FAIL,
        "a solid rivet needs both sides, only one can be reached: a blind rivet, or access to both, would pass",
    )


def _hole(before: Facts, facts: Facts, found: Found) -> Check:
    low, high, hole = facts.holes.minimum, facts.holes.maximum, found.hole
    rows = (facts.holes.final.row,)
    if high is None or low is None:
        size = facts.diameter.text("fraction")
        told = f"the tables hold no hole limits for {size}: take them from the manufacturer's data"
        return Check("hole", UNKNOWN, told, hole, None, rows)
    if hole is None:
        return Check("hole", UNKNOWN, f"not measured; it may be {say(low)} to {say(high)} in", None, high, rows)
    if hole > high:
        return Check("hole", FAIL, f"{say(hole)} in is over the most, {say(high)} in", hole, high, rows)
    if hole < low and facts is before:
        told = f"{say(hole)} in is under the least, {say(low)} in: check the number or the measurement"
        return Check("hole", HEED, told, hole, low, rows)
    if hole < low:
        return Check("hole", PASS, f"open from {say(hole)} to {say(facts.holes.final.diameter)} in", hole, high, rows)
    return Check("hole", PASS, f"{say(hole)} in lies within {say(low)} to {say(high)} in as it is", hole, high, rows)


def _head(before: Facts, facts: Facts, found: Found) -> list[Check]:
    if not facts.choice.is_flush:
        return []
    height = None if facts.head_row is None else facts.head_row.number("height_in")
    outer = found.stack.layers[0].thickness.inches
    rows = () if facts.head_row is None else (facts.head_row,)
    same_head = facts.head_row is not None and facts.head_row is before.head_row
    if found.preparation == "dimpled":
        if same_head:
            return [Check("countersink", PASS, "dimpled, and the head stays the same", rows=rows)]
        return [Check("countersink", HEED, "the dimple must be formed anew for another head", outer, height, rows)]
    codes = countersink_codes(found.stack, height, facts.sheet_minimum)
    limit = max((figure for figure in (facts.sheet_minimum, height) if figure is not None), default=None)
    if "knife-edge" in codes and limit is not None:
        thin = f"the outer sheet, {say(outer)} in, is too thin to countersink"
        told = f"{thin}: over {say(limit)} in, or dimples, would pass"
        verdict = UNKNOWN if same_head and found.preparation is None else FAIL
        if verdict == UNKNOWN:
            told += "; it is dimpled already, or cut to a knife edge: look"
        return [Check("countersink", verdict, told, outer, limit, rows)]
    if codes:
        return [Check("countersink", UNKNOWN, "give the layers one by one, head side first", None, height, rows)]
    return [Check("countersink", PASS, f"the outer sheet, {say(outer)} in, takes the head", outer, height, rows)]


def _substitution(before: Facts, facts: Facts, edition: Edition) -> Check:
    """Return the substitution rule of AC 43.13-1B par 4-57b held against a change of alloy."""
    rules = edition["rules"]
    old, new = before.choice.material, facts.choice.material
    if old is new:
        return Check("substitution", PASS, "same alloy", rows=(rules.by_key[("same_size_first",)],))
    named = {"2017": "substitute_2017_maximum", "2024": "substitute_2024_maximum"}.get(old.text("number"))
    if new.text("number") == "2117" and named is not None:
        rule = rules.by_key[(named,)]
        limit = rule.number("value")
        if facts.size <= before.size:
            told = f"2117 for {old.text('number')} must be one size larger"
        elif before.size > limit:
            told = f"2117 stands for {old.text('number')} only up to {say(limit)} in"
        else:
            return Check(
                "substitution", PASS, f"2117 one size larger for {old.text('number')}", before.size, limit, (rule,)
            )
        return Check("substitution", FAIL, told, before.size, limit, (rule,))
    rule = rules.by_key[("weaker_alloy_compensated",)]
    weaker = _stress(new, edition) < _stress(old, edition)
    if weaker and named is not None:
        told = (
            f"weaker than {old.text('number')}: only 2117 is named for it; the same alloy or a stronger one would pass"
        )
        return Check("substitution", FAIL, told, rows=(rule,))
    return Check("substitution", HEED, "another alloy must be no weaker in total: see shear and bearing", rows=(rule,))


def _stress(material: Row, edition: Edition) -> Fraction:
    row = edition["material_strength"].find(material.text("alloy").replace("KE", "E"))
    return Fraction(0) if row is None else row.number("shear_psi")


def shear_kept(before: Facts, after: Facts, found: Found, edition: Edition) -> Fraction | None:
    """Return single shear of the new rivet over that of the old one, each less what thin sheet takes from it.

    None when either is not tabulated.
    """
    old = single_shear(before.choice.material, before.diameter.text("fraction"), before.holes, edition)
    new = single_shear(after.choice.material, after.diameter.text("fraction"), after.holes, edition)
    if old is None or new is None:
        return None
    # one layer given as a total says nothing of the thinnest sheet
    if len(found.stack.layers) == 1:
        return new.pounds / old.pounds
    thinnest = min(layer.thickness.inches for layer in found.stack.layers)
    factors = [_thin_sheet(facts.size, thinnest, edition) for facts in (before, after)]
    if factors[0] is None or factors[1] is None:
        return None
    return new.pounds * factors[1] / (old.pounds * factors[0])


def _thin_sheet(size: Fraction, thinnest: Fraction, edition: Edition) -> Fraction | None:
    """Return the thin-sheet factor; None past the smallest one the tables print."""
    if thinnest <= 0:
        return None
    value = thin_sheet_factor(size, thinnest, edition).value
    return value if value >= _smallest_factor(edition) else None


@lru_cache(maxsize=32)
def _smallest_factor(edition: Edition) -> Fraction:
    return min(row.number("factor") for row in edition["thin_sheet_factors"] if row.text("shear") == "single")


def bearing_kept_of(before: Facts, after: Facts, found: Found, edition: Edition) -> Fraction | None:
    """Return bearing under the new rivet over that under the old one, in the layer that loses most."""
    # the cone of a flush head takes the outer sheet's bearing: see _flush_strength
    layers = found.stack.layers[1:] if after.choice.is_flush else found.stack.layers
    return bearing_ratio(bored(before), bored(after), layers, found.edge, edition)


def _flush_strength(before: Facts, facts: Facts, found: Found, edition: Edition) -> list[Check]:
    """Return the strength of a larger flush joint in its outer sheet, where the handbook prints both cells."""
    if not facts.choice.is_flush or facts is before:
        return []
    outer = found.stack.layers[0].thickness.inches
    loads = [_flush_load(entry, outer, edition) for entry in (before, facts)]
    if loads[0] is None or loads[1] is None:
        told = "the tables print no countersunk joint of both in this outer sheet: shear and bearing do not tell it"
        return [Check("flush joint", UNKNOWN, told)]
    return [strength_check("flush joint", loads[1].number("load_lbf") / loads[0].number("load_lbf"))]


def _flush_load(facts: Facts, outer: Fraction, edition: Edition) -> Row | None:
    for row in edition["flush_joints"]:
        is_cell = row.text("alloy") == facts.choice.material.text("alloy") and row.text("strength") == "ultimate"
        is_cut = row.text("preparation") == "countersunk" and row.text("fraction") == facts.diameter.text("fraction")
        if is_cell and is_cut and row.number("sheet_in") == outer:
            return row
    return None


def _oversize_shank(before: Facts, found: Found, edition: Edition) -> Option:
    """Return the repair rivet with a shank 1/64 thicker, which this edition names but has no holes for."""
    rule = edition["rules"].by_key[("oversize_shank",)]
    standard = "NAS1241" if before.choice.is_flush else "NAS1242"
    shank = before.size + rule.number("value")
    told = f"the tables hold no hole limits for {standard}, shank {say(shank)} in: take them from its standard sheet"
    checks = [_access(found), Check("hole", FAIL, told, found.hole, None, (rule,))]
    return Option("oversize-shank", f"{standard}, shank 1/64 oversize, same head", None, None, tuple(checks))


def rank(options: list[Option]) -> Option | None:
    """Return the option to recommend: of those that pass, solid rivets first, then the fewest couples to part, then the
    same alloy, then the least metal removed, then the strongest; None when none passes.

    A hole is not enlarged for want of a row in the tables: a larger fastener is recommended only where the hole fails
    the size that was there, or where it spares a couple.
    """
    passing = [option for option in options if option.passes]
    if not passing:
        return None
    best = min(
        passing,
        key=lambda option: (
            option.last_resort,
            option.incompatible,
            not option.same_alloy,
            option.hole_growth,
            -(option.shear_kept or 0),
        ),
    )
    same = next(option for option in options if option.name == (ONE_SIDED if best.last_resort else "same-size"))
    asked_for = any(check.name == "hole" and check.verdict == FAIL for check in same.checks)
    return best if not best.enlarges or asked_for or best.incompatible < same.incompatible else None
