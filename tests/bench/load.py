"""A small load generator: `python -m tests.bench.load PORT COUNT`, request targets on standard input.

Written on sockets, since `http.client` takes longer to read an answer than the server to send it, and would be
what is measured. Keeps a fixed number of connections busy, one request at a time on each; prints the requests
answered in a second. Anything but a whole 200 ends it.
"""

from __future__ import annotations

import re
import selectors
import socket
import sys
import time
from collections.abc import Iterator
from itertools import cycle, islice

CONNECTIONS = 16
LONGEST = 30.0  # s
_LENGTH = re.compile(rb"\r\ncontent-length: *([0-9]+)", re.IGNORECASE)


class Connection:
    """One connection, one request at a time."""

    def __init__(self, port: int) -> None:
        self.socket = socket.create_connection(("127.0.0.1", port), timeout=5)
        self.socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self._seen = b""

    def send(self, request: bytes) -> None:
        self._seen = b""
        self.socket.sendall(request)

    def is_answered(self) -> bool:
        """Read what there is; True when the answer is whole."""
        piece = self.socket.recv(262_144)
        self._seen += piece
        head = self._seen.find(b"\r\n\r\n")
        if not piece or (head >= 0 and not self._seen.startswith(b"HTTP/1.1 200 ")):
            raise SystemExit(f"not answered: {self._seen[:300]!r}")
        length = _LENGTH.search(self._seen, 0, head) if head >= 0 else None
        return length is not None and len(self._seen) >= head + 4 + int(length[1])


def requests(targets: list[str], count: int) -> Iterator[bytes]:
    """Yield *count* requests, the targets over and over."""
    made = [f"GET {target} HTTP/1.1\r\nHost: 127.0.0.1\r\nAccept: */*\r\n\r\n".encode() for target in targets]
    return islice(cycle(made), count)


def run(port: int, waiting: Iterator[bytes]) -> float:
    """Return the requests answered in a second."""
    connections: list[Connection] = []
    ready = selectors.DefaultSelector()
    answered, busy, started = 0, 0, time.perf_counter()
    while busy or len(connections) < CONNECTIONS:
        if len(connections) < CONNECTIONS:
            # one at a time, at work before the next: of a burst, one worker may take all while the other sleeps
            connection = Connection(port)
            connections.append(connection)
            ready.register(connection.socket, selectors.EVENT_READ, connection)
            busy += _next(connection, waiting)
        if time.perf_counter() - started > LONGEST:
            raise SystemExit(f"{answered} requests in {LONGEST} s: given up")
        for key, _ in ready.select(1.0):
            if key.data.is_answered():
                answered += 1
                busy -= not _next(key.data, waiting)
    took = time.perf_counter() - started
    for connection in connections:
        connection.socket.close()
    return answered / took


def _next(connection: Connection, waiting: Iterator[bytes]) -> bool:
    request = next(waiting, None)
    if request is not None:
        connection.send(request)
    return request is not None


if __name__ == "__main__":
    print(run(int(sys.argv[1]), requests(sys.stdin.read().split(), int(sys.argv[2]))))
