"""Which blind rivet, bolt or pin is in the hole: a number, its stem, or diameter, material and standard in words."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.blocks import Block
from bucktail_service.engine.errors import NotTabulated, QuestionError
from bucktail_service.engine.grip import blocks
from bucktail_service.engine.grip.choice import GripChoice, choose, families_of_head
from bucktail_service.engine.grip.limits import blind_kinds
from bucktail_service.engine.grip.misreading import no_such_grip
from bucktail_service.engine.grip.reading import is_grip_number, parse_grip_number
from bucktail_service.engine.lengths import parse_length, shown
from bucktail_service.engine.rounding import put
from bucktail_service.engine.sources import Ledger
from bucktail_service.engine.standards import is_solid_head
from bucktail_tables.model import Edition

BY_GRIP_EXAMPLE = "NAS1398B4-3, AN4-10A or 1/8 B NAS1398"
BLIND_BOLT = "blind-bolt"
LOCKED = "locked"
BREAK_STEM = "break-stem"
# a document gives limits of one blind bolt, and not what it is called
_BLIND_BOLT_SIZE = Fraction(3, 16)
_BLIND_BOLT = re.compile(r"(\S+) blind[ -]bolt", re.ASCII | re.IGNORECASE)
_GRIP = re.compile(r"-?0?([1-9][0-9]?)", re.ASCII)
_WORDS = 3


@dataclass(frozen=True, slots=True)
class InPlace:
    """The fastener that is there.

    Attributes:
        choice: Standard, material and size; None for the blind bolt, of which the tables hold limits alone.
        grip: What its number counts last; None where it was not said.
        drilled_shank: Of an AN bolt: drilled for a cotter pin; None where it was not said.
    """

    choice: GripChoice | None
    grip: str | None = None
    drilled_shank: bool | None = None

    @property
    def family(self) -> str:
        """`blind`, `bolt`, `pin` or `blind-bolt`."""
        return BLIND_BOLT if self.choice is None else self.choice.standard.text("family")

    @property
    def name(self) -> str:
        """The standard's number or our word for it."""
        return BLIND_BOLT if self.choice is None else self.choice.name

    @property
    def nominal(self) -> Fraction:
        """The diameter. [in]"""
        return _BLIND_BOLT_SIZE if self.choice is None else self.choice.nominal

    @property
    def fraction(self) -> str:
        """The diameter as a fraction of an inch."""
        return str(self.nominal) if self.choice is None else self.choice.fraction

    @property
    def kinds(self) -> tuple[str, ...]:
        """The kinds of grip_inspection it is."""
        if self.choice is None:
            return (BLIND_BOLT,)
        if self.family != "blind":
            return ()
        return blind_kinds(self.choice.standard)

    @property
    def may_be_flush(self) -> bool:
        """True for countersunk heads, and for those of which the tables do not tell the form."""
        return (
            self.choice is None
            or self.choice.is_flush
            or "not in the tables" in self.choice.standard.text("head_style")
        )


def read_in_place(text: str, edition: Edition) -> InPlace | None:
    """Return the blind rivet, bolt or pin a text names; None where it names none of them.

    Raises:
        NotTabulated: It begins as one of them, and the edition cannot read it or lacks its data.
    """
    bolt = _BLIND_BOLT.fullmatch(text.strip())
    words = text.split()
    try:
        if bolt is not None:
            return _blind_bolt(bolt[1])
        if len(words) in (_WORDS, _WORDS + 1):
            return _in_words(words, edition)
        if not is_grip_number(text, edition):
            return None
        found = parse_grip_number(text, edition)
    except QuestionError as error:
        raise NotTabulated("fastener", error.detail, _example(error)) from None
    return InPlace(found.choice, found.grip, found.drilled_shank)


def _example(error: QuestionError) -> str:
    if error.field in ("number", "fastener"):
        return error.example
    return f"{BY_GRIP_EXAMPLE}; {error.field}: {error.example}"


def _blind_bolt(size: str) -> InPlace:
    if parse_length(size, "diameter").inches != _BLIND_BOLT_SIZE:
        told = f"the tables hold limits of one blind bolt, {_BLIND_BOLT_SIZE} in, not of {shown(size)}"
        raise NotTabulated("fastener", told, f"{_BLIND_BOLT_SIZE} {BLIND_BOLT}")
    return InPlace(None)


def _in_words(words: list[str], edition: Edition) -> InPlace | None:
    """Return what diameter, material and standard name, a grip number behind them if there is one."""
    family = _family(words[2], edition)
    if family is None:
        return None
    choice = choose(family, words[2], words[1], parse_length(words[0], "diameter"), edition)
    if len(words) == _WORDS:
        return InPlace(choice)
    grip = _GRIP.fullmatch(words[3])
    if grip is None or family == "bolt":
        told = f"{shown(words[3])} is not a grip number behind diameter, material and standard"
        raise NotTabulated("fastener", told, BY_GRIP_EXAMPLE)
    refused = no_such_grip(" ".join(words), choice, grip[1], drilled_shank=False, edition=edition)
    if refused is not None:
        raise refused
    return InPlace(choice, grip[1])


def _family(head: str, edition: Edition) -> str | None:
    """Return the family whose standard or head this is; None for heads of solid rivets and words that are neither."""
    if is_solid_head(head, edition):
        return None
    families = families_of_head(head, edition)
    if len(families) > 1:
        told = f"{shown(head)} is a head of {' and '.join(families)} fasteners: name the standard"
        raise NotTabulated("fastener", told, BY_GRIP_EXAMPLE)
    return families[0] if families else None


def identity_blocks(fastener: InPlace, ledger: Ledger) -> Block:
    """Return diameter, alloy and head of the answer."""
    choice = fastener.choice
    if choice is not None:
        ledger.cite(choice.standard, "head.name", "head.cone_angle_deg")
        ledger.cite(choice.offered, "alloy")
        if choice.size_row is not None:
            ledger.cite(choice.size_row, "diameter")
        return {
            "diameter": blocks.diameter_block(choice),
            "alloy": blocks.alloy_block(choice.offered),
            "head": blocks.head_block(choice),
        }
    diameter: Block = {"dash": int(fastener.nominal * 32), "fraction": fastener.fraction}
    put(diameter, "nominal", fastener.nominal)
    head: Block = {"name": BLIND_BOLT, "style": "not in the tables"}
    put(head, "diameter", None)
    put(head, "height", None)
    alloy = {"code": "any", "name": "material not in the tables", "head_mark": None, "heat_treat": None}
    return {"diameter": diameter, "alloy": alloy, "head": {**head, "cone_angle_deg": None}}
