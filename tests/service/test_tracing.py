"""One request in log and trace: through server, worker and delivery, and nothing of a client in either."""

import importlib
import io
import json
import logging
import os
import subprocess
import sys
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any, ClassVar

import pytest
from flask import Flask
from opentelemetry import trace
from opentelemetry.proto.collector.trace.v1.trace_service_pb2 import ExportTraceServiceRequest
from opentelemetry.sdk.trace import TracerProvider
from opentelemetry.sdk.trace.export import SimpleSpanProcessor
from opentelemetry.sdk.trace.export.in_memory_span_exporter import InMemorySpanExporter
from opentelemetry.trace import StatusCode

from service import tracing
from service.api import stock
from service.api.requests import JsonLines, log
from service.serve import apart, worker
from service.settings import Settings
from service.store.session import open_database
from service.usecases.base.context import Context
from service.usecases.keeping import tasks
from tests.api import Api, operator_of

REQUEST = "request-of-somebody"
TRACE = "4bf92f3577b34da6a3ce929d0e0e4736"
PARENT = f"00-{TRACE}-00f067aa0ba902b7-01"
"""The example of W3C Trace Context, 3.2."""
EXPORTER = InMemorySpanExporter()


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """Nothing here depends on the kind of database."""
    return sqlite_url


@pytest.fixture(autouse=True, scope="module")
def _provider() -> None:
    """The library takes one for a process, and for good."""
    provider = TracerProvider()
    provider.add_span_processor(SimpleSpanProcessor(EXPORTER))
    trace.set_tracer_provider(provider)


@pytest.fixture(autouse=True)
def _nothing_yet() -> None:
    EXPORTER.clear()


@pytest.fixture
def lines() -> Iterator[io.StringIO]:
    """What is logged meanwhile."""
    written, before = io.StringIO(), log.level
    handler = logging.StreamHandler(written)
    handler.setFormatter(JsonLines())
    for each in log.handlers[0].filters:
        handler.addFilter(each)
    log.addHandler(handler)
    log.setLevel(logging.INFO)
    yield written
    log.removeHandler(handler)
    log.setLevel(before)


def spans() -> dict[str, Any]:
    return {each.name: each for each in EXPORTER.get_finished_spans()}


def offered(api: Api, **headers: str) -> Any:
    quote = api.quote()
    answer = api.send("POST", f"/v1/quotes/{quote['id']}/offer", X_Request_Id=REQUEST, **headers)
    assert answer.status_code == 200
    return answer.json


def test_a_request_is_a_span_named_by_its_route(api: Api) -> None:
    quote = offered(api, traceparent=PARENT)
    found = spans()["POST /v1/quotes/<uuid:quote_id>/offer"]
    assert f"{found.context.trace_id:032x}" == TRACE
    assert dict(found.attributes) == {
        "http.request.method": "POST",
        "http.route": "/v1/quotes/<uuid:quote_id>/offer",
        "http.response.status_code": 200,
        "baywright.request_id": REQUEST,
    }
    told = " ".join(each.to_json() for each in EXPORTER.get_finished_spans())
    assert quote["client"]["name"] not in told
    assert quote["site"]["address"] not in told
    assert api.key("office") not in told


def test_an_unexpected_error_marks_its_span_and_says_nothing_of_itself(
    api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: Any) -> None:
        raise KeyError("A client's name")

    monkeypatch.setattr(stock.stock, "read", fails)
    assert api.send("GET", "/v1/stock").status_code == 500
    found = spans()["GET /v1/stock"]
    assert (found.status.status_code, found.status.description) == (StatusCode.ERROR, None)
    assert "client" not in found.to_json()
    assert found.events == ()


def test_the_worker_goes_on_with_the_request_in_log_and_trace(
    app: Flask, api: Api, settings: Settings, lines: io.StringIO
) -> None:
    wanted = {"url": "https://203.0.114.1.invalid/", "events": ["quote.offered"]}
    assert api.send("PUT", "/v1/subscriptions/sales", wanted, Idempotency_Key="sales").status_code == 200
    api.wait()
    EXPORTER.clear()
    offered(api, traceparent=PARENT)
    with operator_of(app) as database:
        context = Context(
            database=app.extensions["database"], settings=settings, caller=None, now=datetime.now(UTC)
        )
        while task := tasks.claimed(database, tuple(tasks.KINDS), datetime.now(UTC)):
            assert task["request_id"] == REQUEST
            error = apart._performed(context, task)
            tasks.settled(database, task, error, now=datetime.now(UTC), seconds=1)
    found = spans()
    assert {f"{each.context.trace_id:032x}" for name, each in found.items() if "task" in name} == {TRACE}
    asked = found["POST /v1/quotes/<uuid:quote_id>/offer"].context.span_id
    assert {found[name].parent.span_id for name in ("task quote", "task delivery")} == {asked}
    assert found["delivery"].parent.span_id == found["task delivery"].context.span_id
    assert found["task quote"].status.status_code is StatusCode.UNSET
    failed = found["task delivery"]
    assert failed.status.status_code is StatusCode.ERROR
    assert failed.attributes["baywright.error"] == "deliveries.not_found"
    assert failed.attributes["baywright.request_id"] == REQUEST


def test_lines_of_server_worker_and_delivery_have_the_request_s_id(
    app: Flask, api: Api, settings: Settings, lines: io.StringIO
) -> None:
    api.wait(later=timedelta(days=9))
    offered(api)
    app.extensions["database"].dispose()
    database = open_database(settings.operator_url, operator=True)
    at_work = worker.Worker(settings, database)
    at_work._look()
    at_work.stop()
    at_work.run()
    database.dispose()
    said = [json.loads(line) for line in lines.getvalue().splitlines()]
    mine = [line for line in said if line.get("request_id") == REQUEST]
    assert [line["event"] for line in mine].count("request") == 1
    assert {line["kind"] for line in mine if line["event"] == "task"} == {"quote", "delivery"}


def test_what_a_request_left_behind_is_not_the_next_one_s(app: Flask, api: Api) -> None:
    offered(api)
    assert tracing.request_id() is None


@pytest.fixture
def _not_installed(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    for name in [each for each in sys.modules if each.split(".")[0] == "opentelemetry"]:
        monkeypatch.setitem(sys.modules, name, None)
    importlib.reload(tracing)
    yield
    monkeypatch.undo()
    importlib.reload(tracing)


@pytest.mark.usefixtures("_not_installed")
def test_where_it_is_not_installed_nothing_is_traced_and_nothing_fails(settings: Settings, api: Api) -> None:
    assert not tracing.IS_INSTALLED
    tracing.begin()
    with tracing.span("a request", follows=PARENT):
        tracing.note(failed=True, name="another", http__status=500)
        assert tracing.traceparent() is None
    tracing.end()
    assert api.client.get("/healthz").status_code == 200
    assert spans() == {}


class Collector(BaseHTTPRequestHandler):
    """Takes what OpenTelemetry's protocol brings over HTTP."""

    taken: ClassVar[list[ExportTraceServiceRequest]] = []

    def do_POST(self) -> None:
        assert self.path == "/v1/traces"
        body = self.rfile.read(int(self.headers["Content-Length"]))
        self.taken.append(ExportTraceServiceRequest.FromString(body))
        self.send_response(200)
        self.send_header("Content-Length", "0")
        self.end_headers()

    def log_message(self, *_: object) -> None:
        """Say nothing."""


@pytest.fixture
def collector() -> Iterator[str]:
    """Where a collector listens, by the protocol's own messages (OTLP 1, HTTP with protobuf)."""
    with ThreadingHTTPServer(("127.0.0.1", 0), Collector) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield f"http://127.0.0.1:{server.server_port}"
        server.shutdown()
        thread.join()


ONE_SPAN = f"""
from service import tracing
tracing.begin()
with tracing.span("GET /healthz", follows="{PARENT}"):
    tracing.note(http__status=200)
tracing.end()
"""


def one_span(**environment: str) -> None:
    """A process that begins, does something and ends."""
    subprocess.run(
        [sys.executable, "-c", ONE_SPAN], env={**os.environ, **environment}, check=True, timeout=60
    )


def test_spans_reach_a_collector_where_the_library_s_variables_say(collector: str) -> None:
    one_span()
    assert Collector.taken == []
    one_span(OTEL_EXPORTER_OTLP_ENDPOINT=collector)
    ((resource,),) = (request.resource_spans for request in Collector.taken)
    assert {each.key: each.value.string_value for each in resource.resource.attributes}["service.name"] == (
        "baywright"
    )
    ((span,),) = (scope.spans for scope in resource.scope_spans)
    assert span.name == "GET /healthz"
    assert span.trace_id.hex() == TRACE
    assert [(each.key, each.value.int_value) for each in span.attributes] == [("http.status", 200)]


def test_a_collector_that_is_not_there_stops_nothing() -> None:
    one_span(OTEL_EXPORTER_OTLP_ENDPOINT="http://127.0.0.1:9", OTEL_EXPORTER_OTLP_TIMEOUT="1")
