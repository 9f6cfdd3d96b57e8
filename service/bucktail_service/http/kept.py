"""Answers kept by their raw query, before the framework: the same question again costs a look-up.

Right because an answer is a function of the request line, `Accept` and the installed tables, which do not change
while a process runs. Bounded in bytes; least recently used answers go first.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterable
from threading import Lock
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment

PATHS = ("/v1/pick", "/v1/parts/")
_LARGEST = 256 * 1024
_ENTRY = 1024
_KEPT_HEADERS = ("Content-Type", "ETag", "Cache-Control", "Vary")
_TOLD_HEADERS = ("Deprecation", "Sunset", "Link")  # of a superseded edition alone


class _Kept(NamedTuple):
    headers: list[tuple[str, str]]
    etag: str
    body: bytes
    size: int


class KeptAnswers:
    """WSGI middleware that keeps the 200 answers to GET questions."""

    def __init__(self, app: WSGIApplication, room: int) -> None:
        """Wrap an application.

        Args:
            app: The application that answers what is not kept.
            room: Bytes to keep at most.
        """
        self._app = app
        self._room = room
        self._size = 0
        self._kept: OrderedDict[tuple[str, str, str], _Kept] = OrderedDict()
        self._lock = Lock()

    def __call__(self, environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        """Answer from what is kept, or ask the application and keep what it says."""
        path = environ.get("PATH_INFO", "")
        if environ["REQUEST_METHOD"] != "GET" or not path.startswith(PATHS):
            return self._app(environ, start_response)
        key = (path, environ.get("QUERY_STRING", ""), environ.get("HTTP_ACCEPT", ""))
        kept = self._kept.get(key)
        if kept is None:
            return self._ask(key, environ, start_response)
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
        condition = environ.get("HTTP_IF_NONE_MATCH")
        if condition is not None:
            if condition != kept.etag:  # lists and weak validators are the framework's to judge
                return self._app(environ, start_response)
            start_response("304 NOT MODIFIED", kept.headers[1:-1])
            return []
        start_response("200 OK", kept.headers)
        return [kept.body]

    def _ask(
        self, key: tuple[str, str, str], environ: WSGIEnvironment, start_response: StartResponse
    ) -> Iterable[bytes]:
        seen: list[tuple[str, list[tuple[str, str]]]] = []

        def watch(status: str, headers: list[tuple[str, str]], exc_info: object = None) -> Callable[[bytes], object]:
            seen.append((status, headers))
            return start_response(status, headers, exc_info)  # type: ignore[arg-type]

        parts = self._app(environ, watch)
        if not seen or not seen[-1][0].startswith("200"):
            return parts
        body = b"".join(parts)
        close = getattr(parts, "close", None)
        if close is not None:
            close()
        self._keep(key, dict(seen[-1][1]), body)
        return [body]

    def _keep(self, key: tuple[str, str, str], headers: dict[str, str], body: bytes) -> None:
        # what a request brings is kept with its answer, and an entry costs about this much beside
        size = len(body) + 2 * sum(map(len, key)) + _ENTRY
        if size > min(_LARGEST, self._room) or not all(name in headers for name in _KEPT_HEADERS):
            return
        named = (*_KEPT_HEADERS, *(name for name in _TOLD_HEADERS if name in headers))
        ordered = [(name, headers[name]) for name in named] + [("Content-Length", str(len(body)))]
        with self._lock:
            before = self._kept.pop(key, None)
            self._size += size - (before.size if before is not None else 0)
            self._kept[key] = _Kept(ordered, headers["ETag"], body, size)
            while self._size > self._room:
                _, gone = self._kept.popitem(last=False)
                self._size -= gone.size
