"""Lines of a file of any size, with bounded memory: an over-long line is cut short and told, never held.

A block is read, decoded and split at once; taking each line from a text stream costs as much as answering it.
"""

from __future__ import annotations

import codecs
import io
from collections.abc import Iterator
from itertools import chain
from typing import BinaryIO

MAX_LINE = 65_536
_BLOCK = 32_768


class CutLine(str):
    """The start of a line as long as `MAX_LINE` or longer; the rest of it is gone."""

    __slots__ = ()


def lines(source: BinaryIO) -> Iterator[str]:
    """Yield the lines of a file with their endings, whichever those are; one that is too long as a `CutLine`.

    Bytes that are not UTF-8 pass through as lone surrogates, a byte-order mark is dropped.
    """
    return chain.from_iterable(_blocks(source))


def _blocks(source: BinaryIO) -> Iterator[list[str]]:
    decoder = codecs.getincrementaldecoder("utf-8-sig")("surrogateescape")
    rest = ""
    cutting = False  # inside a line that was cut already
    ended = False
    while not ended:
        data = source.read(_BLOCK)
        ended = not data
        text = rest + decoder.decode(data, final=ended)
        # split as a text stream of the standard library would: only at \n, \r and \r\n
        found = list(io.StringIO(text, newline=""))
        # a \r at the end may be half of a \r\n
        rest = "" if ended or not found or found[-1].endswith("\n") else found.pop()
        if found and (cutting or len(found[0]) > MAX_LINE):  # a block is shorter, so only the first can be too long
            found = found[1:] if cutting else [_fitting(found[0]), *found[1:]]
            cutting = False
        if len(rest) > MAX_LINE or (cutting and rest):
            if not cutting:
                found.append(CutLine(rest[:MAX_LINE]))
            cutting = not rest.endswith("\r")
            rest = ""
        yield found


def _fitting(line: str) -> str:
    return line if len(bare(line)) < MAX_LINE else CutLine(line[:MAX_LINE])


def bare(line: str) -> str:
    """Return *line* without its ending."""
    return line.rstrip("\r\n")


def readable(text: str) -> str:
    """Return *text* with bytes that were not UTF-8 shown as the replacement character."""
    return text.encode("utf-8", "surrogateescape").decode("utf-8", "replace")
