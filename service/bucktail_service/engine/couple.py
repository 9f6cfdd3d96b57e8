"""The couple answer: whether metals may touch, which one is eaten, how they are kept apart."""

from __future__ import annotations

from bucktail_service.engine.blocks import Block, edition_block
from bucktail_service.engine.cautions import caution_list, find_layer_material
from bucktail_service.engine.contact import Contact, CoupleQuestion, Metal, contacts, find_metals
from bucktail_service.engine.galvanic import DEFAULT_ENVIRONMENT, ENVIRONMENTS, tell
from bucktail_service.engine.rounding import half_even
from bucktail_service.engine.sources import Ledger
from bucktail_tables.model import Edition, Row

AIR = {"marine": "marine air", "seawater": "sea water", "industrial": "industrial air"}
_PLACES_V, _PLACES_RATIO = 3, 3


def couple(question: CoupleQuestion, edition: Edition) -> Block:
    """Return the answer to a couple question: every two of its metals judged, in every environment.

    Potentials are in volts against the saturated calomel electrode, in sea water.

    Raises:
        NotTabulated: A metal is in no group of the edition.
        NoAnswer: There are not as many areas as metals.
    """
    environment = question.environment or DEFAULT_ENVIRONMENT
    metals = find_metals(question, edition)
    pairs = contacts(metals, environment, edition)
    measured = question.areas is not None and question.areas.measured
    ledger = Ledger()
    missing = _cite(metals, pairs, ledger, edition)
    return {
        "environment": environment,
        "compatible": all(pair.everywhere[environment] for pair in pairs),
        "materials": [_material(metal) for metal in metals],
        "pairs": [_pair(pair, environment, measured=measured) for pair in pairs],
        "guide": [_rule(row) for row in _guide(edition)],
        "reasoning": _reasoning(question, metals, pairs),
        "cautions": caution_list(
            _codes(question, metals, pairs, missing, ledger, edition), edition, missing, _told(pairs)
        ),
        "sources": ledger.as_list(),
        "edition": edition_block(edition),
        "link": None,  # asked in a body alone
    }


def _material(metal: Metal) -> Block:
    return {
        "name": metal.name,
        "material": metal.member.text("material"),
        "group": metal.letter,
        "metals": metal.group.text("metals"),
        "treatment": f"{metal.group.document}, appendix A par. {metal.group.text('treatment')}",
        "potential_v": None if metal.potential is None else float(metal.potential.number("potential_v")),
        "potential_of": None if metal.potential is None else metal.potential.text("metal"),
        "series_rank": None if metal.place is None else int(metal.place.text("rank")),
        "series_of": None if metal.place is None else metal.place.text("metal"),
    }


def _pair(pair: Contact, environment: str, *, measured: bool) -> Block:
    difference = pair.difference_v
    return {
        "first": pair.first.name,
        "second": pair.second.name,
        "compatible": pair.everywhere[environment],
        **pair.everywhere,
        "corrodes": None if pair.anode is None else pair.anode.name,
        "difference_v": None if difference is None else half_even(difference, _PLACES_V),
        "ordered_otherwise": [name for name, _ in pair.ordered_otherwise()],
        "small": pair.small,
        "cathode_per_anode": _ratio(pair) if measured else None,
        "separation": _rules(pair, "separation"),
        "fasteners": _rules(pair, "fastener"),
        "finish": [
            {"material": metal.name, "rules": [_rule(row) for row in _finish_rows(pair, metal)]}
            for metal in _apart(pair)
        ],
    }


def _ratio(pair: Contact) -> float | None:
    if pair.anode is None or pair.cathode is None or pair.anode.area is None or pair.cathode.area is None:
        return None
    return half_even(pair.cathode.area / pair.anode.area, _PLACES_RATIO)


def _rules(pair: Contact, use: str) -> list[Block]:
    return [_rule(row) for row in pair.rules if row.text("use") == use]


def _rule(row: Row) -> Block:
    """Return a rule with where it was read: a person who follows it must be able to defend it."""
    return {
        "rule": row.text("rule"),
        "text": tell(row),
        "document": row.document,
        "place": row.place,
        "basis": row.basis,
    }


def _apart(pair: Contact) -> list[Metal]:
    """Return the metals of a pair, one that is named twice once."""
    return list({metal.name: metal for metal in (pair.first, pair.second)}.values())


def _finish_rows(pair: Contact, metal: Metal) -> list[Row]:
    return [row for row in pair.rules if row.text("use") == "finish" and metal.letter in row.words("groups")]


def _guide(edition: Edition) -> list[Row]:
    return [row for row in edition["galvanic_protection"] if row.text("use") in ("guide", "area")]


def _cite(metals: tuple[Metal, ...], pairs: list[Contact], ledger: Ledger, edition: Edition) -> list[str]:
    """Write every figure's rows down and return the figures that have none."""
    missing = []
    for metal in metals:
        ledger.cite(metal.member, "materials.group")
        ledger.cite(metal.group, "materials.metals", "materials.treatment", "pairs.corrodes")
        if metal.potential is None:
            missing.append(f"potential of {metal.name}")
        else:
            ledger.cite(metal.potential, "materials.potential_v")
        if metal.place is not None:
            ledger.cite(metal.place, "materials.series_rank")
    for pair in pairs:
        ledger.cite(pair.couple, "pairs.compatible", *(f"pairs.{name}" for name in ENVIRONMENTS))
        for row in (pair.first.potential, pair.second.potential):
            if row is not None and pair.difference_v is not None:
                ledger.cite(row, "pairs.difference_v")
        for row in pair.rules:
            ledger.cite(row, {"fastener": "pairs.fasteners"}.get(row.text("use"), f"pairs.{row.text('use')}"))
        missing += [f"finish of {metal.name}" for metal in _apart(pair) if not _finish_rows(pair, metal)]
    for row in _guide(edition):
        ledger.cite(row, "guide", *(["pairs.small"] if row.text("use") == "area" else []))
    return list(dict.fromkeys(missing))


def _codes(
    question: CoupleQuestion,
    metals: tuple[Metal, ...],
    pairs: list[Contact],
    missing: list[str],
    ledger: Ledger,
    edition: Edition,
) -> list[str]:
    fired = {
        "couple-guide": True,
        "approved-data": True,
        "licensed-sign-off": True,
        "small-anode": any(pair.small == "anode" for pair in pairs),
        "areas-not-given": question.areas is None and any(pair.anode is not None for pair in pairs),
        "couple-columns": any(len(set(pair.everywhere.values())) > 1 for pair in pairs),
        "couple-doubtful": any(pair.couple.flag("doubtful") for pair in pairs),
        "couple-order": any(pair.ordered_otherwise() for pair in pairs),
        "alloy-not-named": any(metal.member.flag("generic") for metal in metals),
        "chromate-primer": any("chromate" in row.text("text") for pair in pairs for row in pair.rules),
        "edition-draft": edition.is_draft,
        "no-figure": bool(missing),
        "not-published": ledger.rests_on_doubt(),
    }
    rows = (find_layer_material(metal.member.text("material"), edition) for metal in metals)
    return [code for code, fires in fired.items() if fires] + [row.text("hazard") for row in rows if row is not None]


def _told(pairs: list[Contact]) -> dict[str, str]:
    """Return which pairs fired a caution."""
    told = {}
    small = [
        f"{pair.anode.name} against {pair.cathode.name}"
        for pair in pairs
        if pair.small == "anode" and pair.anode and pair.cathode
    ]
    if small:
        told["small-anode"] = "; ".join(small)
    otherwise = [f"{name}: {metal.name} in {pair.name}" for pair in pairs for name, metal in pair.ordered_otherwise()]
    if otherwise:
        told["couple-order"] = "the more anodic one by the " + "; by the ".join(otherwise)
    return told


def _reasoning(question: CoupleQuestion, metals: tuple[Metal, ...], pairs: list[Contact]) -> list[str]:
    environment = question.environment
    if environment is None:
        lines = ["no environment was given: taken as marine air, the sterner everyday one"]
    else:
        lines = [f"asked for {AIR[environment]}"]
    return [*lines, *dict.fromkeys(map(_why_group, metals)), *(line for pair in pairs for line in _why_pair(pair))]


def _why_group(metal: Metal) -> str:
    note = metal.member.text("note")
    material = metal.member.text("material")
    name = metal.name if material in metal.name.casefold() else f"{metal.name} ({material})"
    told = f"{name} is in group {metal.letter} ({metal.group.text('metals')})"
    return f"{told}: {note}" if note else told


def _why_pair(pair: Contact) -> list[str]:
    judged = ", ".join(f"{AIR[name]} {'C' if may else 'I'}" for name, may in pair.everywhere.items())
    lines = [f"{pair.name}, groups {pair.first.letter} and {pair.second.letter}: {judged}"]
    if pair.anode is None or pair.cathode is None:
        lines.append(f"{pair.name} are of one group: the groups do not say which one would corrode")
    else:
        lines.append(
            f"{pair.anode.letter} stands before {pair.cathode.letter}: {pair.anode.name} is the anode, and corrodes"
        )
    for name, metal in pair.ordered_otherwise():
        lines.append(f"the {name} have it otherwise: {metal.name} is the more anodic one there")
    return lines
