"""Ways to run the command: as a process of its own, and in a terminal."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import struct
import subprocess
import sys
import tempfile
import termios
import time
from typing import NamedTuple

# as the console script runs it, without relying on where that is installed
COMMAND = [sys.executable, "-c", "import sys; sys.argv[0] = 'bucktail'; from bucktail.cli.main import run; run()"]
WIDTH = 80
PATIENCE_S = 20


class Ended(NamedTuple):
    """How a command ended."""

    code: int
    stdout: str
    stderr: str


class Seen(NamedTuple):
    """What a terminal showed, line ends as in a file, and what went elsewhere."""

    code: int
    screen: str
    stdout: str


def environment(**changes: str) -> dict[str, str]:
    """Return the environment of a plain terminal, whatever the one of the tests is."""
    settings = ("NO_COLOR", "FORCE_COLOR", "PY_COLORS")
    kept = {name: text for name, text in os.environ.items() if not name.startswith("BUCKTAIL") and name not in settings}
    return {**kept, "TERM": "xterm", "COLUMNS": str(WIDTH), **changes}


def as_process(*args: str, sent: bytes = b"", **changes: str) -> Ended:
    """Run the command with all its streams piped."""
    done = subprocess.run(
        [*COMMAND, *args], input=sent, capture_output=True, env=environment(**changes), timeout=PATIENCE_S, check=False
    )
    return Ended(done.returncode, done.stdout.decode(), done.stderr.decode())


def in_terminal(*args: str, typed: str = "", piped_out: bool = False, **changes: str) -> Seen:
    """Run the command in a terminal of 80 columns; *piped_out* sends its standard output elsewhere."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, WIDTH, 0, 0))
    # a file and not a pipe: nobody would empty that while the screen is read
    with os.fdopen(ours, "r+b", buffering=0) as screen, tempfile.TemporaryFile() as elsewhere:
        out = elsewhere if piped_out else theirs
        with subprocess.Popen(
            [*COMMAND, *args], stdin=theirs, stdout=out, stderr=theirs, env=environment(**changes)
        ) as process:
            os.close(theirs)
            try:
                screen.write(typed.encode())
                shown = _read_screen(ours)
                code = process.wait(PATIENCE_S)
            finally:
                process.kill()
        elsewhere.seek(0)
        return Seen(code, shown.decode().replace("\r\n", "\n"), elsewhere.read().decode())


def _read_screen(terminal: int) -> bytes:
    """Return all that is written to a terminal until its last writer closes it."""
    shown = b""
    until = time.monotonic() + PATIENCE_S
    while select.select([terminal], [], [], max(0.0, until - time.monotonic()))[0]:
        try:
            piece = os.read(terminal, 65536)
        except OSError:  # how Linux says that nobody writes any more
            return shown
        if not piece:
            return shown
        shown += piece
    raise TimeoutError(f"the command still runs; it has shown {shown[-300:]!r}")
