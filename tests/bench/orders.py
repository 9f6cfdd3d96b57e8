"""Invented orders and questions; the same ones in every run."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from itertools import islice, product
from pathlib import Path
from random import Random
from urllib.parse import urlencode

from tests.bench.checked import QUESTION

HEADER = ("ref", "diameter", "alloy", "head", "stack", "quantity", "note")
NOTES = ("", "", "", "left rib 4", "skin lap", "stringer 7", "see card 12", "doubler", "aft", "wing, left")
QUOTED = 20  # one line in so many has a note that needs quotes

Question = tuple[str, str, str, str]


def questions() -> Iterator[Question]:
    """Yield questions, all different and all answered: first the one that is checked, then more than a million."""
    yield QUESTION["diameter"], QUESTION["alloy"], QUESTION["head"], QUESTION["stack"]
    sheets = range(100, 1110)  # 0.0100 to 0.1109 in
    for step, under in product(range(len(sheets)), sheets):
        over = sheets[(step + under) % len(sheets)]
        stack = f"0.{over:04d}+0.{under:04d}"
        yield (
            ("1/8", "5/32", "3/16")[under % 3],
            ("AD", "AD", "DD")[step % 3],
            ("universal", "flush-100")[over % 2],
            stack,
        )


def write_order(path: Path, lines: int, distinct: int) -> Path:
    """Write an order of so many lines that asks so many different questions, and return where."""
    random = Random(20470)
    asked = list(islice(questions(), distinct))
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(HEADER)
        for number in range(lines):
            # the first lines go through all questions once, so that none is left out
            question = asked[number] if number < distinct else random.choice(asked)
            note = NOTES[-1] if number % QUOTED == QUOTED - 1 else random.choice(NOTES[:-1])
            writer.writerow([f"J{number:06d}", *question, random.randint(1, 400), note])
    return path


def paths(asked: Iterator[Question], count: int) -> list[str]:
    """Return the next *count* questions as request targets."""
    names = HEADER[1:5]
    return [f"/v1/pick?{urlencode(dict(zip(names, one, strict=True)))}" for one in islice(asked, count)]
