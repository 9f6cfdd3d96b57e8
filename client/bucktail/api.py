"""The client over HTTP: one session, a default timeout on every request, retries only where they are safe."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from http import HTTPStatus
from importlib.metadata import version
from types import TracebackType
from typing import BinaryIO, Final, Self
from urllib.parse import quote, unquote, urljoin, urlsplit

import requests
from requests import exceptions
from requests.adapters import HTTPAdapter
from urllib3 import BaseHTTPResponse
from urllib3.connectionpool import ConnectionPool
from urllib3.exceptions import HTTPError, InvalidHeader, MaxRetryError, ReadTimeoutError
from urllib3.util.retry import Retry

from bucktail.errors import (
    BucktailError,
    ServiceFault,
    Unreachable,
    bad_question,
    check_number,
    check_piece,
    class_of_status,
    encode,
    from_problem,
)
from bucktail.questions import Answer, Questions

JSON: Final = "application/json"
CSV: Final = "text/csv"
NDJSON: Final = "application/x-ndjson"
PROBLEM: Final = "application/problem+json"

_BLOCK_BYTES = 65536
_MOST_REDIRECTS = 5
_BACKOFF_S = 0.3
# a service that asks for more patience than this is answered by giving up, not by a silent terminal
_LONGEST_WAIT_S = 30.0


class Client(Questions):
    """A running service, asked over HTTP. Close it, or use it in a `with` block; share it with no other thread.

    Args:
        url: Address of the service, such as `http://127.0.0.1:8000`; may end in a path a proxy has put before it.
        timeout: How long to wait for a connection and for each piece of an answer [s].
        retries: How often to ask again: a GET when the connection fails or the service is busy (429, 502, 503,
            504; `Retry-After` is kept up to 30 s), anything else only when no connection came about.
        session: A session to use instead of an own one; it keeps its adapters, so *retries* does not reach it,
            and it stays open.

    Raises:
        Unreachable: *url* is not an address. Methods raise what `bucktail.errors` draws.
    """

    def __init__(
        self,
        url: str,
        *,
        timeout: tuple[float, float] = (3.05, 30.0),
        retries: int = 2,
        session: requests.Session | None = None,
    ) -> None:
        self._base, self._name = _address(url)
        self._timeout = timeout
        self._owned = session is None
        self._session = _own_session(retries) if session is None else session
        self._agent = f"bucktail/{version('bucktail')}"

    def close(self) -> None:
        """Close the connections; a session that was given stays open."""
        if self._owned:
            self._session.close()

    def _ask(self, name: str, question: Mapping[str, object]) -> Answer:
        return self._answer("POST", f"/v1/{name}", data=encode(question), content_type=JSON)

    def part(self, number: str, *, edition: str | None = None) -> Answer:
        """Return what a part number means."""
        check_number(number)
        query = "" if edition is None else f"?edition={_quoted(edition)}"
        return self._answer("GET", f"/v1/parts/{_quoted(number)}{query}")

    def editions(self) -> Answer:
        """Return the editions the service has."""
        return self._answer("GET", "/v1/editions")

    def edition(self, name: str | None = None) -> Answer:
        """Return one edition, the default one when None: its tables with their digests, and what it changed."""
        return self._answer("GET", _edition_path(name))

    def table(self, edition: str | None, table: str) -> Answer:
        """Return one table of an edition, the default one when None: columns with units, rows as printed."""
        return self._answer("GET", _table_path(edition, table))

    def table_file(self, edition: str | None, table: str) -> bytes:
        """Return the file of a table, CSV, byte for byte."""
        with self._told(), self._send("GET", _table_path(edition, table), CSV, None, None) as response:
            return response.content

    def row(self, edition: str | None, table: str, *key: str) -> Answer:
        """Return one row of a table by its key, and where it was read."""
        query = "&".join(f"key={_quoted(part)}" for part in key)
        return self._answer("GET", f"{_table_path(edition, table)}/row?{query}")

    def find(self, text: str, edition: str | None = None, *, limit: int = 50) -> Answer:
        """Return the rows of an edition that hold every word of *text*, the best *limit* of them."""
        return self._answer("GET", f"{_edition_path(edition)}/find?text={_quoted(text)}&limit={limit}")

    def cite(self, link: str) -> Answer:
        """Return every figure of the answer a link leads to, with its value, document, place and basis."""
        return self._answer("GET", f"/v1/cite?link={_quoted(link)}")

    def changes(self, name: str, other: str, questions: BinaryIO | None = None, *, content_type: str = CSV) -> Answer:
        """Return what differs from edition *name* to *other*; of past *questions*, whose answers move.

        Args:
            name: The edition before.
            other: The edition after.
            questions: A file of past pick questions, read whole.
            content_type: What the file is: `text/csv` or `application/x-ndjson`.
        """
        check_piece("edition", other, "2026.1")
        path = f"{_edition_path(name)}/changes/{_quoted(other)}"
        if questions is None:
            return self._answer("GET", path)
        return self._answer("POST", path, data=questions.read(), content_type=content_type)

    def follow(self, link: str) -> Answer:
        """Return the answer an answer's `link` replays; anything but a path under /v1/ is refused."""
        if not _is_own_path(link):
            raise bad_question("link", f"{link!r} is not a path under /v1/", "/v1/parts/MS20470AD4-4")
        return self._answer("GET", link)

    def batch_pick(self, rows: Iterable[Mapping[str, object]]) -> Iterator[Answer]:
        """Yield one result per row, in order: an answer, or the problem of that row.

        Rows are sent as they come and results yielded as they come; neither is kept. The first result is read when
        the last row is sent.

        Raises:
            ServiceFault: The results end before the rows do (among others).
        """
        upload = _Upload(encode(row) + b"\n" for row in rows)
        with self._told(upload), self._send("POST", "/v1/batch/pick", NDJSON, upload, NDJSON) as response:
            count = 0
            for line in response.iter_lines(chunk_size=_BLOCK_BYTES):
                if line:
                    count += 1
                    if count > upload.sent:
                        raise ServiceFault(f"{self._name} sent more results than the {upload.sent} rows it was asked")
                    yield _read_object(line, self._name)
            if not upload.whole:
                raise ServiceFault(f"{self._name} answered before it had read every row")
            if count < upload.sent:
                raise ServiceFault(f"the results of {self._name} end early: {count} for {upload.sent} rows")

    def batch_file(self, question: str, body: BinaryIO, *, content_type: str, accept: str) -> Iterator[bytes]:
        """Yield the results of a whole file as they come, in the format asked for; a refusal comes before any byte.

        Args:
            question: Which question each row asks, such as `pick`.
            body: The file, read from where it stands.
            content_type: What the file is: `text/csv`, `application/x-ndjson` or `application/json`.
            accept: What the results shall be, one of the same three.
        """
        path = f"/v1/batch/{_quoted(question)}"
        upload = _Upload(iter(partial(body.read, _BLOCK_BYTES), b""))
        with self._told(upload), self._send("POST", path, accept, upload, content_type) as response:
            yield from response.iter_content(_BLOCK_BYTES)

    def _answer(self, method: str, path: str, *, data: bytes | None = None, content_type: str | None = None) -> Answer:
        with self._told(), self._send(method, path, JSON, data, content_type) as response:
            return _read_object(response.content, self._name)

    def _send(
        self, method: str, path: str, accept: str, data: bytes | _Upload | None, content_type: str | None
    ) -> requests.Response:
        """Return the response once it is known to be an answer in the format asked for, its body still unread."""
        headers = {"Accept": accept, "User-Agent": self._agent}
        if content_type is not None:
            headers["Content-Type"] = content_type
        url = self._base + path
        for _ in range(_MOST_REDIRECTS + 1):
            response = self._session.request(
                method, url, data=data, headers=headers, timeout=self._timeout, stream=True, allow_redirects=False
            )
            try:
                if not response.is_redirect:
                    self._check(response, accept)
                    return response
                url = self._moved(method, response)
            except BaseException:
                response.close()
                raise
            response.close()
        raise ServiceFault(f"{self._name} redirects without end")

    def _check(self, response: requests.Response, accept: str) -> None:
        media = _media_type(response.headers.get("Content-Type", ""))
        succeeded = response.status_code == HTTPStatus.OK
        if succeeded and media == _media_type(accept):
            return
        what = f"{self._name} answered {response.status_code} {response.reason or ''}".rstrip()
        kind = media or "of no stated kind"
        if succeeded:
            raise ServiceFault(f"{what}, but what came is {kind}, not {accept}")
        if media == PROBLEM:
            # the status that was received rules over the one that is told
            raise from_problem({**_read_object(response.content, self._name), "status": response.status_code})
        raise class_of_status(response.status_code)(f"{what} without a reason that can be read (what came is {kind})")

    def _moved(self, method: str, response: requests.Response) -> str:
        """Return where a redirect leads, if a question may be carried there."""
        location = response.headers["Location"]
        target = urljoin(response.url, location)
        if _origin(target) != _origin(response.url):
            raise ServiceFault(f"{self._name} redirects to another host, {location!r}, which is not followed")
        if method != "GET":
            raise ServiceFault(f"{self._name} redirects to {location!r}; a question that is posted is not sent on")
        return target

    @contextmanager
    def _told(self, upload: _Upload | None = None) -> Iterator[None]:
        """Turn what the HTTP libraries raise into the errors of this package."""
        try:
            yield
        except (requests.RequestException, HTTPError, ValueError) as error:
            if upload is not None and upload.failure is not None:
                raise upload.failure from None
            raise self._reason(error, upload) from error

    def _reason(self, error: Exception, upload: _Upload | None) -> BucktailError:
        kind: type[BucktailError] = Unreachable
        match error:
            case exceptions.ChunkedEncodingError() | exceptions.ContentDecodingError():
                kind, told = ServiceFault, "broke its answer off, or it cannot be unpacked"
            case exceptions.ConnectionError() | exceptions.Timeout() if upload and upload.sent and not upload.whole:
                told = "stopped reading before everything was sent; send fewer rows at once"
            case exceptions.SSLError():
                told = "cannot be trusted: its certificate or encryption was refused"
            case _ if _is_slow(error):
                told = f"gave no answer within {self._timeout[1]:g} s"
            case exceptions.ConnectionError():
                told = "cannot be reached, or broke the connection off"
            case exceptions.InvalidURL():
                told = "is not an address that can be asked"
            case _:
                kind, told = ServiceFault, f"did not answer with HTTP as it should be ({type(error).__name__})"
        return kind(f"{self._name} {told}")


class _Upload:
    """Bytes on their way out: how many pieces went, whether all did, and whether it was their source that failed."""

    def __init__(self, pieces: Iterable[bytes]) -> None:
        self._pieces = pieces
        self.sent = 0
        self.whole = False
        self.failure: Exception | None = None

    def __iter__(self) -> Iterator[bytes]:
        try:
            for piece in self._pieces:
                self.sent += 1
                yield piece
        except Exception as error:
            # an OSError of the caller's own file must not pass for one of the connection
            self.failure = error
            raise
        self.whole = True


class _Patience(Retry):
    """Retries that wait as long as `Retry-After` says, unless that is longer than anyone would sit for."""

    def get_retry_after(self, response: BaseHTTPResponse) -> float | None:
        try:
            return super().get_retry_after(response)
        except InvalidHeader:
            return None

    def increment(
        self,
        method: str | None = None,
        url: str | None = None,
        response: BaseHTTPResponse | None = None,
        error: Exception | None = None,
        _pool: ConnectionPool | None = None,
        _stacktrace: TracebackType | None = None,
    ) -> Self:
        if isinstance(error, ReadTimeoutError):
            raise error  # who waited that long is told, not made to wait three times as long
        if response is not None and _pool is not None and (self.get_retry_after(response) or 0) > _LONGEST_WAIT_S:
            raise MaxRetryError(_pool, url or "")
        return super().increment(method, url, response, error, _pool, _stacktrace)


def _is_slow(error: Exception) -> bool:
    """Whether the connection stood but nothing came; requests tells a stall within a body by its cause alone."""
    cause = error.args[0] if error.args else None
    return isinstance(error, exceptions.ReadTimeout) or isinstance(cause, ReadTimeoutError)


def _own_session(retries: int) -> requests.Session:
    policy = _Patience(
        total=retries,
        redirect=0,
        other=0,  # urllib3 would repeat these for a POST too, and its bytes may be out
        allowed_methods={"GET", "HEAD"},
        status_forcelist={429, 502, 503, 504},
        backoff_factor=_BACKOFF_S,
        raise_on_status=False,
    )
    session = requests.Session()
    for scheme in ("http://", "https://"):
        session.mount(scheme, HTTPAdapter(max_retries=policy))
    return session


def _address(url: str) -> tuple[str, str]:
    """Return the base of every URL, and the address as it may be shown (without user and password)."""
    try:
        parts = urlsplit(url.strip())
        host, port = parts.hostname, parts.port
    except ValueError:
        raise Unreachable(f"{url!r} is not an address; write it like http://127.0.0.1:8000") from None
    if parts.scheme not in {"http", "https"} or not host or parts.query or parts.fragment:
        raise Unreachable(f"{url!r} is not an address; write it like http://127.0.0.1:8000")
    shown = f"[{host}]" if ":" in host else host
    return parts.geturl().rstrip("/"), f"{parts.scheme}://{shown}" + ("" if port is None else f":{port}")


def _origin(url: str) -> tuple[str, str | None, int]:
    parts = urlsplit(url)
    return parts.scheme, parts.hostname, parts.port or (443 if parts.scheme == "https" else 80)


def _is_own_path(link: str) -> bool:
    path = unquote(link.partition("?")[0])
    return link.startswith("/v1/") and link.isprintable() and "\\" not in path and ".." not in path.split("/")


def _quoted(text: str) -> str:
    return quote(text, safe="", errors="replace")


def _edition_path(name: str | None) -> str:
    if name is None:
        return "/v1/editions/default"
    check_piece("edition", name, "2026.1")
    return f"/v1/editions/{_quoted(name)}"


def _table_path(edition: str | None, table: str) -> str:
    path = _edition_path(edition)
    check_piece("table", table, "holes")
    return f"{path}/tables/{_quoted(table)}"


def _media_type(header: str) -> str:
    return header.partition(";")[0].strip().lower()


def _read_object(body: bytes, name: str) -> Answer:
    try:
        answer = json.loads(body, parse_constant=_refuse_constant)
    except (ValueError, RecursionError):
        raise ServiceFault(f"the answer of {name} is not JSON, or not the whole of it") from None
    if not isinstance(answer, dict):
        raise ServiceFault(f"the answer of {name} is JSON, but not an object")
    return answer


def _refuse_constant(constant: str) -> float:
    raise ValueError(constant)  # NaN and infinity are no figures
