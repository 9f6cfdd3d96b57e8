"""Words found in the rows of an edition: which rows hold every word, and how well.

A word is a run of letters and digits; a fraction, a mixed number and a decimal are one word each, so that 5/32 is
never found in 15/32 or 1 5/32, nor 0.12 in 0.1285. Decimals are the same word whatever zeros they carry.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache

from bucktail_tables.load import SOURCE_COLUMNS
from bucktail_tables.model import Edition, Row, Table

# how well a word is found: as the whole of a key's cell, of another cell, in one, in the table's name or title, in
# the source or the note, at the start of a word, within one
_KEY, _CELL, _IN_CELL, _TABLE, _SOURCE, _START, _WITHIN = 8, 6, 5, 4, 3, 2, 1
_SHORTEST_PART = 3  # of shorter words a part says nothing: AD is in head, and in leader
_TOKEN = re.compile(
    r"(?<![\d/.-])\d{1,2}[ -]\d{1,3}/\d{1,3}(?![\d/])"  # 1 5/32
    r"|(?<![\d/.])\d{1,3}/\d{1,3}(?![\d/])"  # 5/32
    r"|(?<![\w.])\.\d+"  # .040
    r"|#?[^\W_]+(?:[-.'/+][^\W_]+)*"  # 0.040, #30, 2024-T3, 43.13-1B
)
_DECIMAL = re.compile(r"0*(\d*)\.(\d*?)0*")


class Index:
    """Every word of an edition's rows, with the rows it stands in and how well it stands there."""

    def __init__(self, edition: Edition) -> None:
        self.rows: list[tuple[Table, Row]] = [(table, row) for table in edition.tables.values() for row in table]
        self._postings: dict[str, dict[int, int]] = {}
        for at, (table, row) in enumerate(self.rows):
            for word, rank in _words_of_row(table, row):
                ranks = self._postings.setdefault(_stem(word), {})
                ranks[at] = max(rank, ranks.get(at, 0))

    def find(self, words: Iterable[str]) -> list[int]:
        """Return the places of the rows that hold every word, the best first, equals in the edition's order."""
        total: dict[int, int] | None = None
        for word in words:
            ranks = self._ranks(_stem(word))
            total = ranks if total is None else {at: total[at] + ranks[at] for at in total.keys() & ranks.keys()}
            if not total:
                break
        found = total or {}
        return sorted(found, key=lambda at: (-found[at], at))

    def _ranks(self, word: str) -> dict[int, int]:
        ranks = dict(self._postings.get(word, ()))
        if len(word) < _SHORTEST_PART:
            return ranks
        for longer, rows in self._postings.items():
            rank = _part_rank(word, longer)
            if rank:
                for at in rows:
                    ranks[at] = max(rank, ranks.get(at, 0))
        return ranks


@lru_cache(maxsize=4)
def index_of(edition: Edition) -> Index:
    """Return the index of an edition, made when it is first searched."""
    return Index(edition)


@lru_cache(maxsize=4096)
def words_of(text: str) -> tuple[str, ...]:
    """Return the words of a text, each in the one form it is compared in."""
    return tuple(_plain(word) for word in _TOKEN.findall(text.casefold()))


def _plain(word: str) -> str:
    decimal = _DECIMAL.fullmatch(word)
    if decimal is not None:
        return f"{decimal[1] or 0}.{decimal[2]}" if decimal[2] else decimal[1] or "0"
    return word.replace(" ", "-")  # a mixed number has one spelling


def _stem(word: str) -> str:
    """Return a word without the s of a plural: nuts is found where nut stands, and the other way round."""
    return word[:-1] if len(word) > _SHORTEST_PART and word.isalpha() and word[-1] == "s" != word[-2] else word


def _words_of_row(table: Table, row: Row) -> Iterator[tuple[str, int]]:
    for word in (*words_of(table.name), *words_of(table.title)):
        yield word, _TABLE
    for column, cell in row.cells.items():
        if column in SOURCE_COLUMNS:
            whole, part = _SOURCE, _SOURCE
        else:
            whole, part = (_KEY if column in table.primary_key else _CELL), _IN_CELL
        words = words_of(cell)
        for word in words:
            yield word, whole if len(words) == 1 else part
            for piece in _pieces(word):
                yield piece, _START


def _pieces(word: str) -> list[str]:
    """Return the parts of a compound, `second-hand` or `2024-t3`; a number has none."""
    pieces = re.split(r"[-'+]", word)
    return pieces if len(pieces) > 1 and not re.fullmatch(r"\d+-\d+/\d+", word) else []


def _part_rank(word: str, longer: str) -> int:
    """Return how well *word* is found as a part of a longer one: never a number within a number."""
    at = longer.find(word)
    if at < 0 or len(word) == len(longer):
        return 0
    before, after = longer[:at], longer[at + len(word) :]
    if word[0].isdigit() and re.search(r"[\d/.]-?$", before):
        return 0
    if word[-1].isdigit() and re.match(r"\d|[/.]\d", after):
        return 0
    return _WITHIN if before else _START
