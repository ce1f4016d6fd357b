"""What the parts alone take: bare Flask views that answer the same bytes, and the clock both are held to.

Both are called by Werkzeug's client, which stands for the server that both would have: its share, about
0.07 ms, is less than gunicorn's.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from time import process_time

from flask import Flask, Response, request, send_file
from sqlalchemy import JSON, Column, Engine, Integer, MetaData, Table

from schemas.quotes import QuoteBody
from service.api.json_body import read

kept = Table(
    "kept", MetaData(), Column("id", Integer, primary_key=True), Column("body", JSON, nullable=False)
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """A request, ready to be sent again and again."""

    app: Flask
    path: str
    method: str = "GET"
    body: bytes = b""
    headers: Mapping[str, str] | None = None
    status: int = 200

    def prepared(self) -> Callable[[], bytes]:
        """What sends it and gives what was answered."""
        client = self.app.test_client()
        headers = dict(self.headers or {})
        json = "application/json" if self.body else None

        def send() -> bytes:
            answer = client.open(
                self.path,
                method=self.method,
                data=self.body,
                content_type=json,
                headers=headers,
            )
            assert answer.status_code == self.status, answer.text
            content = answer.data
            answer.close()
            return content

        return send


def bare(*, content: bytes, file: Path, database: Engine) -> Flask:
    """Flask and nothing else: a word, the same bytes, the same with a tag, a file, one row."""
    app = Flask("bare", static_folder=None)
    kept.create(database)

    @app.get("/word")
    def word() -> dict[str, str]:
        return {"status": "alive"}

    @app.get("/bytes")
    def same() -> Response:
        return Response(content, mimetype="application/json")

    @app.get("/tagged")
    def tagged() -> Response:
        response = Response(content, mimetype="application/json")
        response.set_etag("as-stored")
        return response.make_conditional(request)

    @app.get("/file")
    def stored() -> Response:
        return send_file(file)

    @app.post("/row")
    def row() -> Response:
        body = QuoteBody().load(read(request.get_data()))
        with database.begin() as connection:
            connection.execute(kept.insert().values(body=request.get_data().decode()))
        return Response(str(len(body["cavities"])), status=201, mimetype="application/json")

    return app


def in_turns(*calls: Call, rounds: int, at_once: int) -> list[float]:
    """Milliseconds of the processor that each request takes: medians of rounds in which they take turns."""
    sends = [call.prepared() for call in calls]
    for send in sends:
        send()
    spent_ms: list[list[float]] = [[] for _ in sends]
    for _ in range(rounds):
        for send, mine in zip(sends, spent_ms, strict=True):
            began = process_time()
            for _ in range(at_once):
                send()
            mine.append((process_time() - began) * 1000 / at_once)
    return [median(each) for each in spent_ms]
