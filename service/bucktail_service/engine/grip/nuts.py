"""The nut of a bolt: which it is, its number and its height. Tables: nuts, nut_sizes."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.blocks import Block
from bucktail_service.engine.errors import NotTabulated, OutsideTable
from bucktail_service.engine.grip.choice import GripChoice
from bucktail_service.engine.grip.names import find_nut, nut_names
from bucktail_service.engine.model import PickQuestion
from bucktail_service.engine.rounding import put, say
from bucktail_tables.model import Edition, Row

# a nut is no higher than this; a bound of ours that keeps slips of the point away
_HIGHEST_IN_D = 2


@dataclass(frozen=True, slots=True)
class Nut:
    """A nut for a bolt.

    Attributes:
        row: Row of nuts.
        size: Row of nut_sizes; None where the size has none.
        height: As measured, else the tables'; None where neither tells it. [in]
        measured: True where the height was given.
    """

    row: Row
    size: Row | None
    height: Fraction | None
    measured: bool

    @property
    def name(self) -> str:
        """The nut's number without its size."""
        return self.row.text("nut")

    @property
    def is_castellated(self) -> bool:
        """True for nuts that a cotter pin locks."""
        return self.row.flag("castellated")

    @property
    def load(self) -> str:
        """Which column of the torque table holds: `tension` or `shear`."""
        return self.row.text("load")


def choose_nut(question: PickQuestion, choice: GripChoice, edition: Edition) -> Nut:
    """Return the nut asked for, the standard's usual self-locking one where none was.

    Raises:
        NotTabulated: No such nut in this edition; or it needs a drilled shank, and the letters of one are not known.
        OutsideTable: The height given is no nut's.
    """
    name = question.nut or _usual(choice, edition)
    row = find_nut(name, edition)
    if row is None:
        raise NotTabulated("nut", f"{name} is not a nut of this edition", f"one of {', '.join(nut_names(edition))}")
    if row.flag("castellated") and choice.standard.text("number_format") != "an-bolt":
        told = (
            f"the letters of a drilled {choice.name} shank are not in this edition: take them from its standard sheet"
        )
        raise NotTabulated("nut", told, _usual(choice, edition))
    size = edition["nut_sizes"].find(row.text("nut"), choice.fraction)
    given = question.nut_height
    if given is None:
        return Nut(row, size, None if size is None else size.maybe("height_in"), measured=False)
    if not 0 < given.inches <= _HIGHEST_IN_D * choice.nominal:
        most = say(_HIGHEST_IN_D * choice.nominal)
        told = f"{say(given.inches)} in is no height of a {choice.fraction} nut: over 0, up to {most} in"
        raise OutsideTable("nut_height", told, "0.250")
    return Nut(row, size, given.inches, measured=True)


def nut_block(nut: Nut) -> Block:
    """Return the nut block."""
    row = nut.row
    block: Block = {
        "nut": nut.name,
        "number": None if nut.size is None else nut.size.text("number"),
        "kind": row.text("kind"),
        "load": nut.load,
        "castellated": nut.is_castellated,
        "text": row.text("text"),
    }
    put(block, "height", nut.height)
    return block


def nut_codes(nut: Nut) -> list[str]:
    """Return the cautions that a nut fires by itself."""
    kind = nut.row.text("kind")
    codes = ["self-locking-rotation"] if kind.startswith("self-locking") else []
    codes += ["shear-nut"] if nut.load == "shear" else []
    codes += ["castle-cotter"] if nut.is_castellated else []
    codes += ["check-nut"] if kind == "plain" else []
    return codes + (["nut-height-unknown"] if nut.height is None else [])


def _usual(choice: GripChoice, edition: Edition) -> str:
    """Return the nut of a standard when none is named: the first that has the size, else the last."""
    names = choice.standard.words("nut")
    return next((name for name in names if edition["nut_sizes"].find(name, choice.fraction)), names[-1])
