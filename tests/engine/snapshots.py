"""What a released edition answers, kept: several hundred questions and the sha256 of each answer's JSON.

`python -m tests.engine.snapshots` answers the kept questions again and writes the file; with `--choose` it first
draws the questions anew, by a fixed seed. Answers of a released edition change only with the code: then the file is
written again, and the commit says which answers moved and why.
"""

from __future__ import annotations

import hashlib
import json
import random
import sys
from pathlib import Path
from typing import Any

from bucktail_service.answering import answer
from bucktail_service.asking.part import answer_part
from bucktail_service.engine.errors import QuestionError
from bucktail_service.http.encode import as_json
from bucktail_service.problems import problem_of
from bucktail_tables.load import load_edition

EDITION = "2026.1"
FILE = Path(__file__).parents[1] / "snapshots" / f"{EDITION}.json"
SEED = 20261
ABOUT = (
    f"What edition {EDITION} answers: a question, what it was asked, the sha256 of the answer's JSON bytes. An answer"
    " hangs on the tables, which never change, and on the code: when a change of the code moves answers on purpose,"
    " `python -m tests.engine.snapshots` writes this file again and the commit says which and why."
)

PRACTICES = ("civil", "military")
STACKS = ("0.032+0.040", "0.040+0.040", "0.063+0.063", "0.032 2024-T3+0.040 2024-T3", "0.125", "0.250", "1/16+2.5 mm")
THICK = ("0.190", "0.3125", "0.375", "0.5", "0.62", "0.75", "1", "0.250 6061-T6+0.125 steel")
TOLERANCES = ("0", "0.002", "+0.005/-0.002", "+/-0.010")
HOLES = {"3/32": "#40", "1/8": "#30", "5/32": "#21", "3/16": "#11", "1/4": "#F"}


def answer_bytes(name: str, asked: dict[str, Any], edition: str) -> bytes:
    """Return the JSON of what *edition* answers, or of the problem it has with the question."""
    try:
        if name == "part":
            return as_json(answer_part(asked["number"], edition))
        return as_json(answer(name, {**asked, "edition": edition}))
    except QuestionError as error:
        return as_json(problem_of(error))


def digest(name: str, asked: dict[str, Any], edition: str = EDITION) -> str:
    return hashlib.sha256(answer_bytes(name, asked, edition)).hexdigest()


def later_file(edition: str) -> Path:
    """Return where the digests of the same questions asked in a later edition are kept, in the same order."""
    return FILE.with_name(f"{edition}.json")


def write_later(edition: str) -> None:
    """Write down what a later edition answers to the kept questions."""
    digests = [digest(entry["question"], entry["asked"], edition) for entry in kept()]
    text = json.dumps({"about": f"as {FILE.name}, asked in {edition}", "sha256": digests}, indent=1)
    later_file(edition).write_text(text + "\n", encoding="utf-8")


def kept() -> list[dict[str, Any]]:
    """Return the kept questions: `question`, `asked` and `sha256` of each."""
    return json.loads(FILE.read_text(encoding="utf-8"))["answers"]


def choose() -> list[tuple[str, dict[str, Any]]]:
    """Draw the questions: every standard, every practice, every family, every question, by a fixed seed."""
    draw = random.Random(SEED)
    picks = [("pick", asked) for asked in (*_solid(draw), *_by_grip(draw))]
    parts = [("part", {"number": number}) for number in _numbers(picks, draw)]
    others = [*_rework(draw), *_inspect(draw), *_couple(draw), *_joint(draw), *_balance(draw), *_order(draw)]
    drawn = {json.dumps(entry, sort_keys=True): entry for entry in (*picks, *parts, *others)}
    return list(drawn.values())


def _solid(draw: random.Random) -> list[dict[str, Any]]:
    edition, asked = load_edition(EDITION), []
    repair = {row.text("standard") for row in edition["standards"] if row.flag("repair_only")}
    for row in edition["offered"]:
        if row.text("standard") in repair:
            continue
        for practice in PRACTICES:
            diameter = draw.choice(list(HOLES))
            of = {"diameter": diameter, "alloy": row.text("alloy"), "head": row.text("standard")}
            of |= {"stack": draw.choice(STACKS), "practice": practice, "stack_tolerance": draw.choice(TOLERANCES)}
            asked.append({**of, "hole": HOLES[diameter]} if draw.random() < 0.3 else of)
    return asked


def _by_grip(draw: random.Random) -> list[dict[str, Any]]:
    edition, asked = load_edition(EDITION), []
    for row in edition["grip_standards"]:
        if row.text("missing") and draw.random() < 0.9:  # a few refusals are enough
            continue
        offers = [offer for offer in edition["grip_offered"] if offer.text("offers") == row.text("offers")]
        per = 16 if row.text("family") == "bolt" else 32
        for practice in PRACTICES:
            size = int(draw.choice(row.text("sizes").split() or ["4"]))
            of = {"family": row.text("family"), "head": row.text("standard"), "practice": practice}
            of |= {"diameter": f"{size}/{per}", "stack": draw.choice(THICK if per == 16 else STACKS)}
            of["alloy"] = draw.choice(offers).text("alloy") if offers else "steel"
            if draw.random() < 0.3:
                of["stack_tolerance"] = draw.choice(TOLERANCES)
            asked.append(of)
    return asked


def _numbers(picks: list[tuple[str, dict[str, Any]]], draw: random.Random) -> list[str]:
    """Return part numbers that picks answered, older spellings of some, and some that mean nothing."""
    found = []
    for name, asked in draw.sample(picks, 110):
        number = json.loads(answer_bytes(name, asked, EDITION)).get("part_number")
        if number is not None:
            found.append(number)
    older = ["AN470AD4-4", "AN426AD3-5", "NASM20470DD6-8", "AN430AD4-6", "AN442A4-4", "AN427M4-4", "AN435M5-6"]
    repair = ["NAS1241AD4-5", "NAS1242AD5-6", "MS20470AD4-4A", "AN3-8", "NAS178-6-8", "MS20470XX4-4"]
    return [*found, *older, *repair]


def _rework(draw: random.Random) -> list[tuple[str, dict[str, Any]]]:
    asked = []
    for installed, hole, worn in (
        ("MS20470AD4-4", "0.1285", "0.137"),
        ("MS20426AD4-5", "0.130", "0.144"),
        ("MS20470AD5-6", "0.159", "0.170"),
        ("MS20470D6-8", "0.191", "0.204"),
        ("MS20426AD3-4", "0.098", "0.105"),
        ("AN470DD5-7", "0.159", "0.174"),
    ):
        for practice in PRACTICES:
            for size in (hole, worn):
                of = {"installed": installed, "stack": draw.choice(STACKS), "hole": size, "practice": practice}
                of |= {"edge_distance": draw.choice(["0.25", "0.31", "0.40", "0.50"]), "pitch": "0.75", "count": 12}
                of["failed"] = sorted(draw.sample(range(1, 13), draw.choice([0, 1, 2, 4])))
                if draw.random() < 0.5:
                    of["corroded"] = draw.choice(["2024-T3", "2117 + 2024-T3"])
                asked.append(("rework", of))
    return asked


def _inspect(draw: random.Random) -> list[tuple[str, dict[str, Any]]]:
    asked: list[dict[str, Any]] = []
    for fastener in ("MS20470AD4-4", "MS20426AD4-5", "MS20470DD5-8", "MS20470AD3-4", "MS20615-4M4", "1/8 AD universal"):
        for practice in PRACTICES:
            of = {"fastener": fastener, "stack": draw.choice(STACKS[:4]), "practice": practice}
            of |= draw.choice(
                [
                    {"formed_diameter": "0.176", "formed_height": "0.050"},
                    {"formed_diameter": "0.240", "formed_height": "0.038"},
                    {"formed_diameter": "0.188; 0.190; 0.204", "formed_height": "0.060; 0.062; 0.048"},
                ]
            )
            asked.append(of | {"hole": draw.choice(["#30", "0.131", "0.140"])})
    for practice in PRACTICES:
        asked += [
            {"fastener": "NAS1398B4-3", "stack": "0.15", "collar": "0.025 above", "practice": practice},
            {"fastener": "42", "stem": "flush", "collar": "0.01 above", "stack": "0.2", "practice": practice},
            {"fastener": "AN4-10", "stack": "0.7", "protrusion": "0.03", "practice": practice},
            {"fastener": "NAS6204-10", "stack": "0.62", "protrusion": "0.11", "hole": "#F", "practice": practice},
            {"fastener": "NAS1054-6-8", "stack": "0.4", "protrusion": "0.07", "practice": practice},
        ]
    return [("inspect", of) for of in asked]


def _couple(draw: random.Random) -> list[tuple[str, dict[str, Any]]]:
    metals = sorted(row.text("material") for row in load_edition(EDITION)["galvanic_members"])
    return [
        (
            "couple",
            {"materials": " + ".join(draw.sample(metals, draw.choice([2, 2, 3]))), "environment": environment},
        )
        for _ in range(14)
        for environment in ("marine", "seawater", "industrial")
    ]


def _joint(draw: random.Random) -> list[tuple[str, dict[str, Any]]]:
    asked = []
    for alloy, head in (
        ("AD", "universal"),
        ("AD", "flush-100"),
        ("DD", "universal"),
        ("D", "MS20470"),
        ("B", "round"),
    ):
        for practice in PRACTICES:
            for diameter in ("3/32", "1/8", "3/16"):
                of = {"diameter": diameter, "alloy": alloy, "head": head, "practice": practice, "width": "10"}
                of["stack"] = draw.choice(["0.032 2024-T3+0.032 2024-T3", "0.063 7075-T6+0.063 7075-T6"])
                of |= {"member": "lap"} if draw.random() < 0.5 else {"load": "1500", "rows": "2", "pitch": "0.75"}
                asked.append(("joint", of))
    return asked


def _balance(draw: random.Random) -> list[tuple[str, dict[str, Any]]]:
    return [
        (
            "balance",
            {
                "removed": f"{draw.choice([6, 24, 40])} x MS20470AD4-4",
                "installed": f"{draw.choice([6, 24, 40])} x {installed}",
                "stack": draw.choice(["0.032 2024-T3 + 0.040 2024-T3", "0.040 2024-T3 + 0.250 lead"]),
                "arm": draw.choice(["12.5 aft", "3 forward", "100 mm aft"]),
                "weight_arm": "6 forward",
            },
        )
        for installed in ("MS20470AD5-5", "MS20470DD4-4", "MS20426AD5-6", "MS20470A4-5", "MS20470D6-8", "AN3-5")
        for _ in range(2)
    ]


def _order(draw: random.Random) -> list[tuple[str, dict[str, Any]]]:
    asked = []
    for practice in PRACTICES:
        for pack in ("1/4 lb", "1 lb", "100"):
            lines = []
            for alloy, head in (("AD", "universal"), ("AD", "flush-100"), ("DD", "universal"), ("M", "MS20427")):
                of = {"diameter": draw.choice(list(HOLES)), "alloy": alloy, "head": head}
                lines.append({**of, "stack": draw.choice(STACKS), "quantity": draw.choice([4, 24, 250])})
            asked.append(("order", {"lines": lines, "spares": "10%", "pack": pack, "practice": practice}))
    return asked


def write(chosen: list[tuple[str, dict[str, Any]]]) -> None:
    """Answer the questions and keep them, one a line."""
    lines = [
        json.dumps({"question": name, "asked": asked, "sha256": digest(name, asked)}, ensure_ascii=False)
        for name, asked in chosen
    ]
    head = f'{{\n"about": {json.dumps(ABOUT)},\n"seed": {SEED},\n"answers": [\n'
    FILE.write_text(head + ",\n".join(lines) + "\n]\n}\n", encoding="utf-8")


if __name__ == "__main__":
    write(choose() if "--choose" in sys.argv else [(entry["question"], entry["asked"]) for entry in kept()])
