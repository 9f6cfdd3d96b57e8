"""The balance question as it may be asked, and its answer. Lists are texts, or JSON lists of texts or objects."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, ClassVar

from marshmallow import RAISE, Schema, ValidationError, fields

from bucktail_service.engine import balance_words as words
from bucktail_service.engine.balance import BalanceQuestion
from bucktail_service.engine.errors import BadQuestion
from bucktail_service.engine.lengths import shown
from bucktail_service.engine.standards import alloy_names, head_names
from bucktail_service.schemas.answers import Caution, EditionName, Source, block, lengths, nested, text, texts
from bucktail_service.schemas.fields import (
    EditionField,
    HoleField,
    LengthField,
    NameField,
    QuestionField,
    StackField,
    told,
)
from bucktail_service.schemas.plain import Asked
from bucktail_service.schemas.questions import load_asked
from bucktail_tables.load import load_edition

_COUNT: dict[str, Any] = {"type": "integer", "minimum": 1, "maximum": words.MAX_PIECES}


def _pattern(pattern: str, longest: int = words.MAX_TEXT) -> dict[str, Any]:
    return {"type": "string", "pattern": f"^(?:{pattern})$", "maxLength": longest}


def _object(required: Mapping[str, Any], optional: Mapping[str, Any] | None = None) -> dict[str, Any]:
    return {
        "type": "object",
        "required": list(required),
        "additionalProperties": False,
        "properties": {**required, **(optional or {})},
    }


def _list_schema(whole: str, entry: str, *objects: dict[str, Any]) -> dict[str, Any]:
    items = {"oneOf": [_pattern(entry), *objects]}
    return {"oneOf": [_pattern(whole), {"type": "array", "minItems": 0, "maxItems": words.MAX_ENTRIES, "items": items}]}


class WordsField(QuestionField):
    """A text that one strict reader of the engine takes."""

    @staticmethod
    def reader(text: str, field: str) -> Any:
        """Read a text; BadQuestion when it cannot be."""
        raise NotImplementedError

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> Any:
        if not isinstance(value, str) or len(value) > words.MAX_TEXT:
            raise ValidationError(f"{shown(str(value))} is not a text such as {self.example}")
        return _read(self.reader, value, attr or "")


def _read(reader: Callable[[str, str], Any], text_given: str, field: str) -> Any:
    try:
        return reader(text_given, field)
    except BadQuestion as error:
        raise ValidationError(error.detail) from None


class ArmField(WordsField):
    """A distance from the hinge line, and its side."""

    example = words.ARM_EXAMPLE
    json_schema: ClassVar[Mapping[str, Any]] = _pattern(words.ARM)
    reader = staticmethod(words.parse_arm)


class MomentField(WordsField):
    """A static moment and what it is called."""

    example = words.MOMENT_EXAMPLE
    json_schema: ClassVar[Mapping[str, Any]] = _pattern(words.MOMENT)
    reader = staticmethod(words.parse_moment)


class MomentsField(WordsField):
    """From one static moment to another."""

    example = words.RANGE_EXAMPLE
    json_schema: ClassVar[Mapping[str, Any]] = _pattern(words.RANGE)
    reader = staticmethod(words.parse_moments)


class EntriesField(QuestionField):
    """A text of entries, or a list of entries that are texts or objects."""

    @staticmethod
    def whole(text: str, field: str) -> tuple[Any, ...]:
        """Read a text of entries; BadQuestion when it cannot be."""
        raise NotImplementedError

    @staticmethod
    def entry(text: str, field: str) -> Any:
        """Read a text of one entry; BadQuestion when it cannot be."""
        raise NotImplementedError

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> tuple[Any, ...]:
        field = attr or ""
        if isinstance(value, str):
            read: tuple[Any, ...] = _read(self.whole, value, field)
            return read
        if not isinstance(value, list) or len(value) > words.MAX_ENTRIES:
            raise ValidationError(f"a text or a list of at most {words.MAX_ENTRIES} entries is needed")
        return tuple(self._entry(entry, field) for entry in value)

    def _entry(self, value: object, field: str) -> Any:
        if isinstance(value, str):
            return _read(self.entry, value, field)
        if isinstance(value, dict):
            return self.of_object(value, field)
        raise ValidationError(f"{shown(str(value))} is neither a text nor an object")

    def of_object(self, value: Mapping[str, Any], field: str) -> Any:
        """Return the entry an object tells."""
        raise NotImplementedError


def _members(value: Mapping[str, Any], required: frozenset[str], optional: frozenset[str] = frozenset()) -> None:
    """Refuse an object that has not exactly these members."""
    missing, unknown = required - set(value), set(value) - required - optional
    if missing or unknown:
        said = f"has no {min(missing)}" if missing else f"has an unknown {shown(str(min(unknown, key=str)))}"
        raise ValidationError(f"an entry {said}; it is {{{', '.join(sorted(required | optional))}}}")


def _count(value: object) -> int:
    whole = int(value) if isinstance(value, float) and value.is_integer() else value
    if not isinstance(whole, int) or isinstance(whole, bool) or not 1 <= whole <= words.MAX_PIECES:
        raise ValidationError(f"{shown(str(value))} is not a number of pieces from 1 to {words.MAX_PIECES}")
    return whole


def _text_of(value: object) -> str:
    if not isinstance(value, str) or len(value) > words.MAX_TEXT:
        raise ValidationError(f"{shown(str(value))} is not a text")
    return value


_DIAMETER, _HOLE, _STACK = LengthField(), HoleField(), StackField()
_ALLOY, _HEAD = NameField(alloy_names(load_edition())), NameField(head_names(load_edition()))


class PiecesField(EntriesField):
    """Fasteners and how many of each: by part number, or by diameter, alloy, head and length."""

    example = words.PIECES_EXAMPLE
    json_schema: ClassVar[Mapping[str, Any]] = _list_schema(
        words.PIECES,
        words.PIECE,
        _object({"pieces": _COUNT, "number": _pattern(words.NUMBER)}),
        _object(
            {
                "pieces": _COUNT,
                "diameter": LengthField.json_schema,
                "alloy": {"type": "string", "enum": _ALLOY.names},
                "head": {"type": "string", "enum": _HEAD.names},
                "length": LengthField.json_schema,
            }
        ),
    )
    whole = staticmethod(words.parse_pieces)
    entry = staticmethod(words.parse_piece)

    def of_object(self, value: Mapping[str, Any], field: str) -> words.Piece:
        """Return the fasteners an object tells."""
        if "number" in value:
            _members(
                value,
                frozenset(
                    (
                        "pieces",
                        "number",
                    )
                ),
            )
            named: words.Piece = _read(words.parse_piece, _text_of(value["number"]), field)
            return words.Piece(_count(value["pieces"]), named.number)
        _members(
            value,
            frozenset(
                (
                    "pieces",
                    "diameter",
                    "alloy",
                    "head",
                    "length",
                )
            ),
        )
        return words.Piece(
            _count(value["pieces"]),
            None,
            _DIAMETER.deserialize(value["diameter"], field),
            _ALLOY.deserialize(value["alloy"], field),
            _HEAD.deserialize(value["head"], field),
            _DIAMETER.deserialize(value["length"], field),
        )


class HoleMetalField(EntriesField):
    """Holes that were enlarged: how many, from, to, and through what."""

    example = words.HOLES_EXAMPLE
    json_schema: ClassVar[Mapping[str, Any]] = _list_schema(
        words.HOLE_METAL,
        words.HOLES,
        _object(
            {"pieces": _COUNT, "from": HoleField.json_schema, "to": HoleField.json_schema},
            {"stack": StackField.json_schema},
        ),
    )
    whole = staticmethod(words.parse_hole_metal)
    entry = staticmethod(words.parse_holes)

    def of_object(self, value: Mapping[str, Any], field: str) -> words.Holes:
        """Return the holes an object tells."""
        _members(
            value,
            frozenset(
                (
                    "pieces",
                    "from",
                    "to",
                )
            ),
            frozenset(("stack",)),
        )
        stack = _STACK.deserialize(value["stack"], field) if "stack" in value else None
        smaller, larger = (_HOLE.deserialize(value[end], field) for end in ("from", "to"))
        return words.Holes(_count(value["pieces"]), smaller, larger, stack)


class ExtraField(EntriesField):
    """Other masses that were added or, negative, taken off: paint, sealant, a patch."""

    example = words.EXTRA_EXAMPLE
    json_schema: ClassVar[Mapping[str, Any]] = _list_schema(
        words.EXTRAS,
        words.EXTRA,
        _object({"name": _pattern(words.NAME, 40), "mass": _pattern(words.MASS)}, {"arm": _pattern(words.ARM)}),
    )
    whole = staticmethod(words.parse_extras)
    entry = staticmethod(words.parse_extra)

    def of_object(self, value: Mapping[str, Any], field: str) -> words.Extra:
        """Return the mass an object tells."""
        _members(
            value,
            frozenset(
                (
                    "name",
                    "mass",
                )
            ),
            frozenset(("arm",)),
        )
        mass = _read(words.parse_mass, _text_of(value["mass"]), field)
        arm = _read(words.parse_arm, _text_of(value["arm"]), field) if "arm" in value else None
        return words.Extra(_read(words.parse_name, _text_of(value["name"]), field), mass, arm)


class BalanceSchema(Schema):
    """How does a repair change the balance of a control surface?"""

    class Meta:
        unknown = RAISE

    arm = ArmField(
        required=True,
        metadata=told("Centre of the repair from the hinge line, square to it, and its side.", "12.5 aft"),
    )
    removed = PiecesField(metadata=told("Fasteners taken out.", "24 x MS20470AD4-4"))
    installed = PiecesField(metadata=told("Fasteners put in.", words.PIECES_EXAMPLE))
    stack = StackField(
        metadata=told(
            "Layers the holes go through, with materials; without hole_metal the metal cut follows from the sizes.",
            "0.032 2024-T3 + 0.040 2024-T3",
        )
    )
    hole_metal = HoleMetalField(metadata=told("Holes enlarged, as measured.", words.HOLES_EXAMPLE))
    extra = ExtraField(
        metadata=told("Other masses, negative when taken off; at the repair's arm unless told.", words.EXTRA_EXAMPLE)
    )
    weight_arm = ArmField(metadata=told("Where a balance weight could go.", "6 forward"))
    limit = MomentsField(
        metadata=told(
            "Lowest and highest static moment in in-lb; of the change, unless current is given.", words.RANGE_EXAMPLE
        )
    )
    current = MomentField(metadata=told("Static moment before the repair, in in-lb.", "4.2 tail heavy"))
    edition = EditionField(metadata=told("Edition of the tables; pins the answer.", "2026.1"))


BALANCE = BalanceSchema()


def load_balance(payload: Mapping[str, Any]) -> Asked[BalanceQuestion]:
    """Return the balance question a payload asks; BadFields names every field that is wrong."""
    return load_asked(BALANCE, BalanceQuestion, payload)


def _number(unit: str) -> fields.Float:
    return fields.Float(required=True, metadata={"description": f"[{unit}]"})


_MASS = {"mass_g": _number("g"), "mass_lb": _number("lb")}
_MOMENT = {
    "moment_in_lb": _number("in-lb"),
    "moment_n_m": _number("N m"),
    "direction": text(enum=["tail heavy", "nose heavy", "none"]),
    "called": text(enum=["underbalance", "overbalance", "balance unchanged"]),
}
ArmBlock = block("ArmBlock", {"text": text(), "side": text(enum=["aft", "forward"]), **lengths("distance")})
MomentBlock = block("MomentBlock", _MOMENT)
MassAndMoment = block("MassAndMoment", {**_MASS, **_MOMENT})
WeighedLine = block(
    "WeighedLine",
    {"pieces": fields.Integer(required=True), "fastener": text(), "each_g": _number("g"), **_MASS},
)
WeighedPieces = block(
    "WeighedPieces", {"pieces": fields.Integer(required=True), **_MASS, "lines": nested(WeighedLine, many=True)}
)
HoleMetalLine = block(
    "HoleMetalLine",
    {"pieces": fields.Integer(required=True), "stack": text(), **lengths("from", "to"), **_MASS},
)
HoleMetalBlock = block(
    "HoleMetalBlock",
    {"computed": fields.Boolean(required=True), **_MASS, "lines": nested(HoleMetalLine, many=True)},
)
ExtraLine = block("ExtraLine", {"name": text(), **_MASS, "arm": nested(ArmBlock), **_MOMENT})
ExtraBlock = block("ExtraBlock", {**_MASS, "lines": nested(ExtraLine, many=True)})
BalanceWeight = block(
    "BalanceWeight", {"arm": nested(ArmBlock), **_MASS, "action": text(enum=["add", "take off", "none"])}
)
BalanceLimit = block(
    "BalanceLimit",
    {
        "of": text(enum=["change", "moment"]),
        "current_in_lb": fields.Float(required=True, allow_none=True),
        "found": nested(MomentBlock),
        "lowest": nested(MomentBlock),
        "highest": nested(MomentBlock),
        "margin_in_lb": fields.Float(required=True, metadata={"description": "To the nearer limit; negative past it."}),
        "verdict": text(enum=["inside limits", "outside limits"]),
    },
)
BalanceAnswer = block(
    "BalanceAnswer",
    {
        "removed": nested(WeighedPieces),
        "installed": nested(WeighedPieces),
        "hole_metal": nested(HoleMetalBlock),
        "extra": nested(ExtraBlock),
        "arm": nested(ArmBlock),
        "repair": nested(MassAndMoment),
        "change": nested(MassAndMoment),
        "balance_weight": nested(BalanceWeight, null=True),
        "limit": nested(BalanceLimit, null=True),
        "sign": text(),
        "reasoning": texts(),
        "cautions": nested(Caution, many=True),
        "sources": nested(Source, many=True),
        "edition": nested(EditionName),
        "link": text(null=True, description="Null: this question is asked in a body alone."),
        "asked": fields.Dict(required=True, metadata={"description": "The same question, its edition pinned."}),
    },
)
