"""Short ways to ask for fasteners chosen by grip, shared by their tests."""

from __future__ import annotations

from typing import Any
from urllib.parse import parse_qsl, urlsplit

import pytest
from tests.engine.asking import figure_at, leaves

from bucktail_service.answering import answer
from bucktail_service.engine.errors import NoAnswer
from bucktail_service.schemas.answers import PickAnswer
from bucktail_tables.load import load_edition

EDITION = load_edition()
ANSWER = PickAnswer()
# blocks that another family has, and what a blind rivet or a pin does not count
NOT_APPLICABLE = frozenset(
    {
        *("alloy.head_mark", "alloy.heat_treat", "formed_head", "grip.length", "head.cone_angle_deg", "hole.fit"),
        *("collar", "cotter", "inspection", "length", "nut", "thread", "torque", "washers"),
        *("collar.or_number", "collar.text", "inspection.unit", "inspection.value", "shank.oversize"),
        *(f"length.{name}" for name in ("ideal", "protrusion_minimum", "protrusion_maximum", "trim_to")),
        *("strength.basis", "strength.temper"),
    }
)
UNITS = ("_in", "_mm", "_lbf", "_n", "_g")


def blind(head: str = "NAS1398", **asked: Any) -> dict[str, Any]:
    """Return the pick answer of a blind rivet, 1/8 in of 5056 where nothing else is said."""
    return answer("pick", {"family": "blind", "diameter": "1/8", "alloy": "B", "head": head, "stack": "0.100"} | asked)


def pin(head: str = "NAS1054", **asked: Any) -> dict[str, Any]:
    """Return the pick answer of a pin, 3/16 in where nothing else is said."""
    asked = {"family": "pin", "diameter": "3/16", "alloy": "steel", "head": head, "stack": "0.350"} | asked
    return answer("pick", asked)


def codes(answered: dict[str, Any]) -> set[str]:
    """Return the codes of an answer's cautions."""
    return {caution["code"] for caution in answered["cautions"]}


def caution(answered: dict[str, Any], code: str) -> str:
    """Return the text of a caution, which must have fired."""
    return str(next(caution["text"] for caution in answered["cautions"] if caution["code"] == code))


def empty(answered: dict[str, Any]) -> set[str]:
    """Return the figures that the no-figure caution names."""
    return {figure for caution in answered["cautions"] for figure in caution.get("figures", ())}


def said(answered: dict[str, Any]) -> str:
    """Return the reasoning as one text."""
    return "\n".join(answered["reasoning"])


def replayed(answered: dict[str, Any]) -> dict[str, Any]:
    """Return the answer to the question in an answer's link."""
    return answer("pick", dict(parse_qsl(urlsplit(answered["link"]).query, strict_parsing=True)))


def refused(ask: Any, head: str, **asked: Any) -> NoAnswer:
    """Return the problem that a question gets, which must say that the tables do not answer it."""
    with pytest.raises(NoAnswer) as problem:
        ask(head, **asked)
    return problem.value


def hold_to_the_shape(answered: dict[str, Any]) -> None:
    """Assert what every answer owes: its shape, a source for each figure, a name for each empty one, a link."""
    assert not ANSWER.validate(answered)
    assert replayed(answered) == answered
    figures = {figure for source in answered["sources"] for figure in source["figures"]}
    for path, value in leaves({name: block for name, block in answered.items() if name not in _ECHO}):
        figure = _without_unit(path)
        if value is None and figure not in NOT_APPLICABLE:
            assert figure in empty(answered), path
        if isinstance(value, int | float) and not isinstance(value, bool) and not path.startswith("hole.given"):
            assert any(figure == cited or figure.startswith(f"{cited}.") for cited in figures), path
    for figure in empty(answered):
        unit = next((unit for unit in ("", *UNITS) if _has(answered, figure + unit)), None)
        assert unit is not None, figure
        assert figure_at(answered, figure + unit) is None, figure
    for source in answered["sources"]:
        row = EDITION[source["table"]].find(*source["row"])
        assert row is not None
        assert (source["document"], source["basis"]) == (row.document, row.basis)


_ECHO = ("stack", "sources", "cautions", "edition", "reasoning", "link")


def _without_unit(path: str) -> str:
    for unit in UNITS:
        path = path.removesuffix(unit)
    return path


def _has(answered: dict[str, Any], path: str) -> bool:
    try:
        figure_at(answered, path)
    except KeyError:
        return False
    return True
