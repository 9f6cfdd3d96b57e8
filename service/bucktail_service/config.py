"""Environment -> frozen settings of the service. Which tables are installed, `bucktail_tables.house` reads itself."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, fields

_MAX_DIGITS = 15


class BadSetting(ValueError):
    """A setting of the environment cannot be read; says which and what a good one looks like."""


@dataclass(frozen=True, slots=True)
class Settings:
    """Limits of the service, each read from `BUCKTAIL_<NAME>`.

    Attributes:
        max_body: Largest body of a single question. [bytes]
        max_order_body: Largest body of an order, its price list and stock included. [bytes]
        max_batch_body: Largest body of a batch. [bytes]
        kept_bytes: Room for answers kept by their query, per worker; 0 keeps none. [bytes]
    """

    max_body: int = 64 * 1024
    max_order_body: int = 4 * 1024 * 1024
    max_batch_body: int = 256 * 1024 * 1024
    kept_bytes: int = 8 * 1024 * 1024


def read_settings(environment: Mapping[str, str] | None = None) -> Settings:
    """Return the settings of an environment, the process's own when None.

    Raises:
        BadSetting: A value is not a whole number of bytes.
    """
    given = os.environ if environment is None else environment
    values = {}
    for field in fields(Settings):
        name = f"BUCKTAIL_{field.name.upper()}"
        text = given.get(name)
        if text is None:
            continue
        if not (text.isascii() and text.isdigit() and len(text) <= _MAX_DIGITS):
            raise BadSetting(f"{name} is {text[:40]!r}; a whole number of bytes is needed, such as {field.default}")
        values[field.name] = int(text)
    return Settings(**values)
