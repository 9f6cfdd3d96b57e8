"""Files that commands read and write: `-` is standard input, and what is written stands whole or not at all."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, cast

import typer

from bucktail.errors import bad_question

_LONG_FILE = 1024 * 1024


@contextmanager
def opened(name: str, argument: str = "LINES") -> Iterator[BinaryIO]:
    """Yield a file of rows; a long one shows its progress on a terminal. *argument* names it when it cannot be read."""
    if name == "-":
        yield sys.stdin.buffer
        return
    try:
        source = Path(name).open("rb")  # noqa: SIM115  closed by the with below
    except OSError as error:
        raise bad_question(argument, f"{name}: {error.strerror}", "lines.csv") from None
    size = os.fstat(source.fileno()).st_size
    with source:
        if size < _LONG_FILE or not sys.stderr.isatty():
            yield source
            return
        with typer.progressbar(length=size, label=Path(name).name, file=sys.stderr) as bar:
            yield cast("BinaryIO", _Watched(source, bar.update))


class _Watched(io.RawIOBase):
    """A file that tells how far it has been read."""

    def __init__(self, source: BinaryIO, tell: object) -> None:
        super().__init__()
        self._source = source
        self._tell = cast("typer.CallbackParam", tell)

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: object) -> int:
        count: int = self._source.readinto(buffer)  # type: ignore[attr-defined]
        self._tell(count)  # type: ignore[operator]
        return count


@contextmanager
def target_of(out: Path | None) -> Iterator[BinaryIO]:
    """Yield where the results go; a file stands under its name only when it is whole."""
    if out is None:
        yield sys.stdout.buffer
        sys.stdout.buffer.flush()
        return
    if out.is_dir():
        raise bad_question("--out", f"{out} is a folder", f"{out}/results.csv")
    import tempfile  # noqa: PLC0415  every other command would pay for it

    try:
        part = tempfile.NamedTemporaryFile(dir=out.parent, prefix=f".{out.name}.", delete=False)  # noqa: SIM115
    except OSError as error:
        raise bad_question("--out", f"{out}: {error.strerror}", "results.csv") from None
    try:
        with part:
            yield cast("BinaryIO", part)
        Path(part.name).chmod(0o666 & ~_umask())
        Path(part.name).replace(out)
    except BaseException:
        Path(part.name).unlink(missing_ok=True)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
