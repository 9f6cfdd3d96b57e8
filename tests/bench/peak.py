"""Run a command and print its peak memory in bytes and its time in seconds; a process of its own.

The kernel counts the memory of whoever starts a process toward its peak, so the starter must be small itself.
"""

from __future__ import annotations

import os
import sys
import time

_UNIT = 1 if sys.platform == "darwin" else 1024  # of ru_maxrss


def main() -> None:
    """Run the command of the arguments, its output thrown away."""
    started = time.perf_counter()
    null = [(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)]
    child = os.posix_spawn(sys.argv[1], sys.argv[1:], os.environ, file_actions=null)
    _, status, usage = os.wait4(child, 0)
    print(usage.ru_maxrss * _UNIT, time.perf_counter() - started)
    sys.exit(os.waitstatus_to_exitcode(status))


if __name__ == "__main__":
    main()
