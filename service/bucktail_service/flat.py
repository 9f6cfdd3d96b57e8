"""A pick answer as one flat row, for CSV: the main figures, under names of their own."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping
from typing import Any

Answer = Mapping[str, Any]


def _at(*path: str) -> Callable[[Answer], Any]:
    def get(answer: Answer) -> Any:
        value: Any = answer
        for name in path:
            if value is None:
                return None
            value = value[name]
        return value

    return get


COLUMNS: dict[str, Callable[[Answer], Any]] = {
    "part_number": _at("part_number"),
    "length_dash": _at("length", "dash"),
    "length_in": _at("length", "length_in"),
    "length_mm": _at("length", "length_mm"),
    "ideal_in": _at("length", "ideal_in"),
    "protrusion_in": _at("length", "protrusion_in"),
    "trim_to_in": _at("length", "trim_to_in"),
    "alternatives": lambda answer: " ".join(answer["length"]["alternatives"]),
    "pilot_drill": _at("hole", "pilot", "drill"),
    "drill": _at("hole", "final", "drill"),
    "drill_in": _at("hole", "final", "diameter_in"),
    "hole_minimum_in": _at("hole", "minimum_in"),
    "hole_maximum_in": _at("hole", "maximum_in"),
    "edge_minimum_in": _at("spacing", "edge_minimum_in"),
    "pitch_minimum_in": _at("spacing", "pitch_minimum_in"),
    "pitch_maximum_in": _at("spacing", "pitch_maximum_in"),
    "row_minimum_in": _at("spacing", "row_minimum_in"),
    "formed_diameter_minimum_in": _at("formed_head", "diameter_minimum_in"),
    "formed_diameter_nominal_in": _at("formed_head", "diameter_nominal_in"),
    "formed_diameter_maximum_in": _at("formed_head", "diameter_maximum_in"),
    "formed_height_minimum_in": _at("formed_head", "height_minimum_in"),
    "formed_height_nominal_in": _at("formed_head", "height_nominal_in"),
    "formed_height_maximum_in": _at("formed_head", "height_maximum_in"),
    "single_shear_lbf": _at("strength", "single_shear_lbf"),
    "each_g": _at("mass", "each_g"),
    "pieces_per_lb": _at("mass", "pieces_per_lb"),
    "cautions": lambda answer: " ".join(caution["code"] for caution in answer["cautions"]),
    "answered_practice": _at("practice"),
    "answered_edition": _at("edition", "name"),
    "link": _at("link"),
}


def flat(answer: Answer) -> dict[str, Any]:
    """Return the flat row of a pick answer; lengths in inches, masses in grams, empty where there is no figure."""
    return {name: get(answer) for name, get in COLUMNS.items()}


def cell(value: Any) -> str:
    """Return a value as a CSV cell shows it: numbers as in JSON, nothing for null."""
    return "" if value is None else str(value)


PART_COLUMNS: dict[str, Callable[[Answer], Any]] = {
    "part_number": _at("part_number"),
    "written_as": _at("written_as"),
    "standard": _at("standard"),
    "replaced_by": _at("replaced_by"),
    "diameter_in": _at("diameter", "nominal_in"),
    "alloy": _at("alloy", "code"),
    "alloy_name": _at("alloy", "name"),
    "head_mark": _at("alloy", "head_mark"),
    "head": _at("head", "name"),
    "length_dash": _at("length", "dash"),
    "length_in": _at("length", "length_in"),
    "length_mm": _at("length", "length_mm"),
    "length_counts": _at("length", "counts"),
    "single_shear_lbf": _at("strength", "single_shear_lbf"),
    "each_g": _at("mass", "each_g"),
    "pieces_per_lb": _at("mass", "pieces_per_lb"),
    "same_as": lambda answer: " ".join(entry["number"] for entry in answer["same_as"]),
    "cautions": lambda answer: " ".join(caution["code"] for caution in answer["cautions"]),
    "answered_edition": _at("edition", "name"),
    "link": _at("link"),
}


def pick_csv(answer: Answer) -> str:
    """Return a pick answer as CSV: a header and one line."""
    return _csv([list(COLUMNS), [cell(value) for value in flat(answer).values()]])


def part_csv(answer: Answer) -> str:
    """Return a part answer as CSV: a header and one line."""
    return _csv([list(PART_COLUMNS), [cell(get(answer)) for get in PART_COLUMNS.values()]])


def editions_csv(answer: Answer) -> str:
    """Return the editions as CSV: a header and one line for each table of each edition."""
    rows = [["edition", "status", "default", "sha256", "table", "title", "rows"]]
    for edition in answer["editions"]:
        head = [edition["name"], edition["status"], cell(edition["default"]).lower(), edition["sha256"]]
        rows += [[*head, table["name"], table["title"], cell(table["rows"])] for table in edition["tables"]]
    return _csv(rows)


def _csv(rows: list[list[str]]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()
