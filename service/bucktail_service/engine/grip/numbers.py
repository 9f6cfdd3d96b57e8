"""Part numbers of blind rivets and pins, written from their fields. Table: grip_standards (number_format)."""

from __future__ import annotations

from bucktail_tables.model import Row


def format_grip_number(standard: Row, letters: str, dash: int, grip: str | None) -> str:
    """Return the part number of a blind rivet or a pin, or its stem where the grip is None.

    A standard of `dashes` tells what follows its number alone: `-8-5`.

    Args:
        standard: Row of grip_standards.
        letters: Letters of the material; empty where the number carries none.
        dash: Diameter in thirty-seconds of an inch.
        grip: Grip number without leading zero, `3`.

    Raises:
        ValueError: The standard's numbers are not written of these fields: a bolt.
    """
    name, form = standard.text("standard"), standard.text("number_format")
    if form == "letters-diameter":
        return _joined(f"{name}{letters}{dash}" if letters else f"{name}-{dash}", grip)
    if form == "letters-diameter-padded":
        # both dashes have two digits, as NAS1921 prints its own: 04 05 06 08
        return _joined(f"{name}{letters}{dash:02d}", grip and grip.zfill(2))
    if form == "dash-diameter-grip":
        return _joined(f"{name}-{dash}", grip)
    if form == "two-digit":
        return f"{dash}{grip or ''}"
    if form == "dashes":
        return _joined(f"-{dash}", grip)
    raise ValueError(f"numbers of {name} are not written of a diameter and a grip: {form}")


def _joined(stem: str, grip: str | None) -> str:
    return stem if grip is None else f"{stem}-{grip}"
