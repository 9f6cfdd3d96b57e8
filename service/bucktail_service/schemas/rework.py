"""The rework question as it may be asked, and its answer."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, ClassVar

from marshmallow import RAISE, Schema, ValidationError, fields

from bucktail_service.engine.installed import INSTALLED_EXAMPLE
from bucktail_service.engine.rework import ReworkQuestion
from bucktail_service.schemas.answers import (
    Alloy,
    Caution,
    Diameter,
    EditionName,
    Head,
    Source,
    block,
    lengths,
    nested,
    text,
    texts,
)
from bucktail_service.schemas.fields import (
    EditionField,
    HoleField,
    LengthField,
    NameField,
    QuestionField,
    StackField,
    ToleranceField,
    WholeField,
    told,
)
from bucktail_service.schemas.plain import Asked
from bucktail_service.schemas.questions import load_asked
from bucktail_tables.load import load_edition

MOST_PIECES = 999
MOST_NAMES = 10
_POSITIONS = r"[1-9][0-9]{0,2}(?:[ ,]+[1-9][0-9]{0,2}){0,998}"
_NAME = r"[A-Za-z0-9][A-Za-z0-9 ().-]{0,39}"
_NAMES = rf"{_NAME}(?: ?\+ ?{_NAME}){{0,9}}"


class PlainTextField(QuestionField):
    """A text that a look-up in the tables will judge."""

    json_schema: ClassVar[Mapping[str, Any]] = {"type": "string", "minLength": 1, "maxLength": 60}

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> str:
        if not isinstance(value, str) or not 0 < len(value) <= 60:  # noqa: PLR2004
            raise ValidationError("a text of 1 to 60 characters is needed")
        return value


class PositionsField(QuestionField):
    """Positions in a row, from 1: a text `3, 4, 7` or a list of numbers."""

    json_schema: ClassVar[Mapping[str, Any]] = {
        "oneOf": [
            {"type": "string", "pattern": f"^{_POSITIONS}$"},
            {
                "type": "array",
                "maxItems": MOST_PIECES,
                "items": {"type": "integer", "minimum": 1, "maximum": MOST_PIECES},
            },
        ]
    }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> tuple[int, ...]:
        if isinstance(value, str) and re.fullmatch(_POSITIONS, value.strip(" "), re.ASCII):
            return tuple(int(word) for word in value.replace(",", " ").split())
        if isinstance(value, list) and len(value) <= MOST_PIECES:
            whole = [int(item) if isinstance(item, float) and item.is_integer() else item for item in value]
            if all(isinstance(item, int) and not isinstance(item, bool) and 1 <= item <= MOST_PIECES for item in whole):
                return tuple(whole)
        raise ValidationError(f"positions are whole numbers from 1 to {MOST_PIECES}, such as 3, 4, 7")


class MaterialsField(QuestionField):
    """Names of materials: a text `2117 + lead` or a list."""

    json_schema: ClassVar[Mapping[str, Any]] = {
        "oneOf": [
            {"type": "string", "pattern": f"^{_NAMES}$"},
            {"type": "array", "maxItems": MOST_NAMES, "items": {"type": "string", "pattern": f"^{_NAME}$"}},
        ]
    }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> tuple[str, ...]:
        if isinstance(value, str) and re.fullmatch(_NAMES, value.strip(" "), re.ASCII):
            return tuple(name.strip(" ") for name in value.split("+"))
        names = value if isinstance(value, list) and len(value) <= MOST_NAMES else [None]
        good = [name for name in names if isinstance(name, str) and re.fullmatch(_NAME, name, re.ASCII)]
        if len(good) == len(names):
            return tuple(name.strip(" ") for name in good)
        raise ValidationError("names of materials joined by + are needed")


class FlagField(QuestionField):
    """Yes or no: true or false, as JSON or as a text."""

    json_schema: ClassVar[Mapping[str, Any]] = {
        "oneOf": [{"type": "boolean"}, {"type": "string", "enum": ["true", "false"]}]
    }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> bool:
        if value in ("true", "false"):
            return bool(value == "true")
        if isinstance(value, bool):
            return value
        raise ValidationError("true or false is needed")


class ReworkSchema(Schema):
    """How is this rivet replaced?"""

    class Meta:
        unknown = RAISE

    installed = PlainTextField(required=True, metadata=told("The rivet that is there.", INSTALLED_EXAMPLE))
    stack = StackField(required=True, metadata=told("Layers, head side first.", "0.032 2024-T3 + 0.040 2024-T3"))
    stack_tolerance = ToleranceField(metadata=told("How far the stack may be off.", "0.005"))
    hole = HoleField(metadata=told("The hole as measured now.", "0.136"))
    edge_distance = LengthField(metadata=told("Hole centre to edge, as found.", "0.31"))
    pitch = LengthField(metadata=told("Hole centre to hole centre along the row.", "0.75"))
    row_spacing = LengthField(metadata=told("From row to row.", "0.40"))
    count = WholeField("count", MOST_PIECES, "[1-9][0-9]{0,2}", metadata=told("Rivets in the row or pattern.", "12"))
    failed = PositionsField(metadata=told("Positions of those to replace, from 1.", "3, 4, 7"))
    corroded = MaterialsField(metadata=told("Materials found eating each other.", "2117 + lead"))
    access = NameField(["both", "one"], metadata=told("Sides that can be reached.", "both"))
    preparation = NameField(
        ["countersunk", "dimpled"], metadata=told("How the sheet under a flush head was made ready.", "dimpled")
    )
    environment = NameField(["marine", "seawater", "industrial"], metadata=told("Where the aircraft lives.", "marine"))
    arm = LengthField(metadata=told("Distance of the repair from the hinge line.", "6.5"))
    arm_side = NameField(["aft", "forward"], metadata=told("Side of the hinge line.", "aft"))
    practice = NameField(
        [row.text("practice") for row in load_edition()["practices"]],
        metadata=told("Named set of rules.", "civil"),
    )
    record = FlagField(metadata=told("Whether a work note is wanted.", "true"))
    edition = EditionField(metadata=told("Edition of the tables.", "2026.1"))


REWORK = ReworkSchema()


def load_rework(payload: Mapping[str, Any]) -> Asked[ReworkQuestion]:
    """Return the rework question a payload asks; BadFields names every field that is wrong."""
    return load_asked(REWORK, ReworkQuestion, payload)


_number = fields.Float(required=True, allow_none=True)

CheckBlock = block(
    "CheckBlock",
    {
        "check": text(),
        "verdict": text(enum=["pass", "fail", "heed", "unknown"]),
        "told": text(),
        **lengths("found", "limit"),
    },
)
OptionBlock = block(
    "OptionBlock",
    {
        "name": text(),
        "title": text(),
        "passes": fields.Boolean(required=True),
        "part_number": text(null=True),
        "shear_kept": _number,
        "bearing_kept": _number,
        "to_measure": texts(),
        "checks": nested(CheckBlock, many=True),
        "link": text(null=True),
        "drill": text(null=True),
        **lengths("hole_growth"),
    },
)
InstalledBlock = block(
    "InstalledBlock",
    {
        "part_number": text(),
        "diameter": nested(Diameter),
        "alloy": nested(Alloy),
        "head": nested(Head),
        "single_shear_lbf": _number,
    },
)
FoundBlock = block(
    "FoundBlock",
    {
        "stack": text(),
        "access": text(),
        "preparation": text(null=True),
        "environment": text(),
        "corroded": texts(),
        **lengths("stack_total", "hole", "edge_distance", "pitch", "row_spacing"),
    },
)
Method = block("Method", {"method": text(), "steps": texts()})
Removal = block(
    "Removal",
    {
        "drill_same_size": text(),
        "drill_one_smaller": text(null=True),
        "methods": nested(Method, many=True),
        "avoid": texts(),
        **lengths("drill_one_smaller", "depth", "drift", "support_over"),
    },
)
Opening = block("Opening", {"final": text(null=True), "steps": texts(), **lengths("final_diameter", "deburr_maximum")})
Setting = block(
    "Setting",
    {
        "steps": texts(),
        "force_estimate_lbf": fields.Integer(required=True, allow_none=True),
        **lengths("stop_at_height"),
    },
)
RowBlock = block(
    "RowBlock",
    {
        "count": fields.Integer(required=True),
        "failed": fields.List(fields.Integer(), required=True),
        "longest_run": fields.Integer(required=True),
        "strength_left": fields.Float(required=True),
        "oversize_allowed": fields.Integer(required=True),
        "within_limits": fields.Boolean(required=True),
        **lengths("unsupported", "pitch_maximum"),
    },
)
ReworkCouple = block(
    "ReworkCouple",
    {
        "first": text(),
        "second": text(),
        "compatible": fields.Boolean(required=True, allow_none=True),
        "corrodes": text(null=True),
        "advice": texts(),
    },
)
ReworkBalance = block(
    "ReworkBalance",
    {
        "pieces": fields.Integer(required=True),
        "mass_change_g": fields.Float(required=True),
        "moment_change_in_lb": fields.Float(required=True),
        "moment_change_n_m": fields.Float(required=True),
        "sense": text(),
        "told": text(),
        **lengths("arm"),
    },
)
ReworkAnswer = block(
    "ReworkAnswer",
    {
        "installed": nested(InstalledBlock),
        "found": nested(FoundBlock),
        "recommended": text(null=True),
        "why": text(),
        "options": nested(OptionBlock, many=True),
        "removal": nested(Removal),
        "opening": nested(Opening, null=True),
        "setting": nested(Setting, null=True),
        "row": nested(RowBlock, null=True),
        "couples": nested(ReworkCouple, many=True),
        "balance": nested(ReworkBalance, null=True),
        "cautions": nested(Caution, many=True),
        "sources": nested(Source, many=True),
        "practice": text(),
        "edition": nested(EditionName),
        "record": fields.List(fields.String(), required=True, allow_none=True),
    },
)
