"""A worker process of the server: many clients may wait, one request is at work.

Threads read and write, so that a slow client holds a thread and never the worker:
a request is handed on when the whole of it is here, and its answer is written when
the next one is at work already. The service itself runs one request at a time, in
turn: on SQLite threads would queue behind one another's locks and fail together.
"""

import json
import os
import threading
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from http import HTTPStatus
from io import BytesIO
from socket import SHUT_RDWR
from typing import Any

from gunicorn.http import errors
from gunicorn.util import close_graceful
from gunicorn.workers.gthread import TConn, ThreadWorker
from uuid6 import uuid7

from service.api import problems, requests

# Clients that are read from or written to at one time, in each process.
CLIENTS = 64
# What a client has to send or fetch it may take this long for, and longer the more it is.
LONGEST_WAIT_S = 15.0
SLOWEST_BYTES_S = 20_000
# A request that is at work for longer is stuck: its process is ended and another one started.
LONGEST_WORK_S = 90.0
CHUNK_BYTES = 65_536
# What is no request that HTTP knows, and what is said of it; 400 of everything else.
REFUSALS: Mapping[type[Exception], tuple[HTTPStatus, str]] = {
    errors.LimitRequestLine: (HTTPStatus.REQUEST_URI_TOO_LONG, "The request line is too long."),
    errors.LimitRequestHeaders: (
        HTTPStatus.REQUEST_HEADER_FIELDS_TOO_LARGE,
        "The headers are too many or too long.",
    ),
    errors.UnsupportedTransferCoding: (HTTPStatus.NOT_IMPLEMENTED, "Of transfer codings chunked is known."),
    errors.ExpectationFailed: (HTTPStatus.EXPECTATION_FAILED, "Of expectations 100-continue is known."),
}
NO_REQUEST = HTTPStatus.BAD_REQUEST, "What was sent is no request of HTTP/1.1."
OF_THE_SERVICE = (errors.InvalidResponseHeader, errors.InvalidResponseHeaderName, errors.ConfigurationProblem)
FAILED = HTTPStatus.INTERNAL_SERVER_ERROR, "Something went wrong on our side."


class Worker(ThreadWorker):
    """gunicorn's threaded worker, patient with slow clients only up to a point."""

    def __init__(self, *args: Any, **named: Any) -> None:
        super().__init__(*args, **named)
        self._turn = threading.Lock()
        self._at_work_since: float | None = None
        self._mine = threading.local()
        self._give_up_at: dict[TConn, float] = {}

    def load_wsgi(self) -> None:
        """Load the service; the server calls it through `_serve`."""
        super().load_wsgi()
        self._service, self.wsgi = self.wsgi, self._serve

    def handle(self, conn: TConn) -> Any:
        """Serve a connection, in a thread, up to its end."""
        self._mine.conn = conn
        self._start_waiting()
        try:
            kept = super().handle(conn)
        finally:
            self._give_up_at.pop(conn, None)
        if kept is False:
            # Waiting for the client to close its side too: here, not in the loop that accepts others.
            close_graceful(conn.sock)
            conn.close = _closed
        return kept

    def _serve(self, environ: dict[str, Any], start_response: Callable[..., Any]) -> Any:
        environ["wsgi.input"] = self._whole_body(environ)
        del self._give_up_at[self._mine.conn]
        answer = self._in_turn(environ, start_response)
        self._start_waiting()
        self._wait_longer(_size(answer))
        return answer

    def _whole_body(self, environ: dict[str, Any]) -> BytesIO:
        """The body, all of it; of one that is too large only enough to be refused."""
        most, announced = self.app.largest_body_bytes, int(environ.get("CONTENT_LENGTH") or 0)
        body = BytesIO()
        if announced > most:
            return body
        while body.tell() <= most and (chunk := environ["wsgi.input"].read(CHUNK_BYTES)):
            body.write(chunk)
            self._wait_longer(body.tell())
        if body.tell() < announced:
            raise errors.NoMoreData()
        body.seek(0)
        return body

    def _in_turn(self, environ: dict[str, Any], start_response: Callable[..., Any]) -> Any:
        """The answer, made: its bytes, or a file that needs nothing but to be sent."""
        with self._turn:
            self._at_work_since = time.monotonic()
            try:
                answer = self._service(environ, start_response)
                return answer if isinstance(answer, environ["wsgi.file_wrapper"]) else [_joined(answer)]
            finally:
                self._at_work_since = None

    def handle_error(self, _req: Any, client: Any, _addr: Any, exc: Exception) -> None:
        """Refuse what never became a request, in the shape of every other refusal.

        Nothing of what was sent is logged: a key or a client's link may be in it.
        """
        request_id = str(uuid7())
        if isinstance(exc, errors.ParseException) and not isinstance(exc, OF_THE_SERVICE):
            status, detail = REFUSALS.get(type(exc), NO_REQUEST)
        else:
            status, detail = FAILED
            requests.log.error("unexpected error", exc_info=exc, extra={"request_id": request_id})
        requests.log.info("no request", extra={"request_id": request_id, "status": int(status)})
        with suppress(OSError):
            client.sendall(_refusal(status, detail, request_id))

    def _start_waiting(self) -> None:
        self._mine.began = time.monotonic()
        self._wait_longer(0)

    def _wait_longer(self, moved_bytes: int) -> None:
        self._give_up_at[self._mine.conn] = self._mine.began + LONGEST_WAIT_S + moved_bytes / SLOWEST_BYTES_S

    def notify(self) -> None:
        """Every second: end what took too long, and tell the arbiter that all is well unless it is not."""
        now = time.monotonic()
        for conn, moment in list(self._give_up_at.items()):
            if now > moment:
                _cut(conn)
        if self._at_work_since is None or now - self._at_work_since < LONGEST_WORK_S:
            super().notify()


def _refusal(status: HTTPStatus, detail: str, request_id: str) -> bytes:
    body = json.dumps(problems.body_of(status, detail, request_id)).encode()
    headers = {
        "Connection": "close",
        "Content-Type": problems.CONTENT_TYPE,
        "Content-Length": len(body),
        "X-Request-Id": request_id,
        **requests.HEADERS,
    }
    lines = [f"HTTP/1.1 {status.value} {status.phrase}", *(f"{name}: {headers[name]}" for name in headers)]
    return "\r\n".join([*lines, "", ""]).encode() + body


def _joined(answer: Any) -> bytes:
    try:
        return b"".join(answer)
    finally:
        if hasattr(answer, "close"):
            answer.close()


def _size(answer: Any) -> int:
    return len(answer[0]) if isinstance(answer, list) else os.fstat(answer.filelike.fileno()).st_size


def _cut(conn: TConn) -> None:
    try:
        conn.sock.shutdown(SHUT_RDWR)
    except OSError:
        return


def _closed(graceful: bool = False) -> None:
    """In the place of closing a connection that is closed."""
