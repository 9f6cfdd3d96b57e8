"""Lines of a file of any size, with bounded memory: an over-long line is cut short and told, never held."""

from __future__ import annotations

import io
from collections.abc import Iterator
from functools import partial
from typing import BinaryIO, NamedTuple

MAX_LINE = 65_536


class Line(NamedTuple):
    """One line, its ending apart; *whole* is False when it was longer than the limit and was cut."""

    text: str
    whole: bool
    ending: str


class _Borrowed(io.BufferedIOBase):
    """A file that is read here and closed by whoever lent it."""

    name = "borrowed"

    def __init__(self, source: BinaryIO) -> None:
        super().__init__()
        self._source = source

    def readable(self) -> bool:
        return True

    def read(self, size: int | None = -1) -> bytes:
        return self._source.read(-1 if size is None else size)

    def read1(self, size: int = -1) -> bytes:
        return self._source.read(size)


def as_text(source: BinaryIO) -> io.TextIOWrapper:
    """Return the file as text; bytes that are not UTF-8 pass through untouched, a byte-order mark is dropped."""
    return io.TextIOWrapper(_Borrowed(source), encoding="utf-8-sig", errors="surrogateescape", newline="")


def lines(text: io.TextIOWrapper) -> Iterator[Line]:
    """Yield the lines of *text*, whichever way they end."""
    for line in iter(partial(text.readline, MAX_LINE), ""):
        if len(line) < MAX_LINE or line.endswith(("\n", "\r")):
            bare = line.rstrip("\r\n")
            yield Line(bare, True, line[len(bare) :])
            continue
        for rest in iter(partial(text.readline, MAX_LINE), ""):
            if rest.endswith(("\n", "\r")):
                break
        yield Line(line, False, "\n")


def readable(text: str) -> str:
    """Return *text* with bytes that were not UTF-8 shown as the replacement character."""
    return text.encode("utf-8", "surrogateescape").decode("utf-8", "replace")
