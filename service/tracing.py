"""What is done for which request: its id in each line of the log, and spans where OpenTelemetry is installed.

A task takes the id and the trace of its request along in its row, and whoever does it goes on with both.
Spans are those of OpenTelemetry's API (the extra `telemetry`); where that is not installed, or nobody takes
them, nothing is traced and nothing done for it. The name of a span is a route or a kind of task, its
attributes are states and figures: nothing of a client.
"""

import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from opentelemetry.sdk.trace import TracerProvider

try:
    from opentelemetry import trace
    from opentelemetry.trace import SpanKind, Status, StatusCode
    from opentelemetry.trace.propagation.tracecontext import TraceContextTextMapPropagator

    IS_INSTALLED = True
except ImportError:
    IS_INSTALLED = False

NAME = "baywright"
HEADER = "traceparent"
"""W3C Trace Context."""
ENDPOINTS = ("OTEL_EXPORTER_OTLP_ENDPOINT", "OTEL_EXPORTER_OTLP_TRACES_ENDPOINT")
"""OpenTelemetry's own variables: where spans are sent."""

_request_id: ContextVar[str | None] = ContextVar("request_id", default=None)


def request_id() -> str | None:
    """The id of the request that something is done for, if it is done for one."""
    return _request_id.get()


def follow(request_id: str | None) -> None:
    """From now on it is this request that things are done for."""
    _request_id.set(request_id)


def is_on() -> bool:
    """Whether there is somebody who takes spans."""
    return IS_INSTALLED and not isinstance(trace.get_tracer_provider(), trace.ProxyTracerProvider)


def traceparent() -> str | None:
    """The span that something is done in, for whoever goes on with it later."""
    if not is_on():
        return None
    carrier: dict[str, str] = {}
    TraceContextTextMapPropagator().inject(carrier)
    return carrier.get(HEADER)


@contextmanager
def span(name: str, *, follows: str | None = None, is_served: bool = False) -> Iterator[None]:
    """Do something in a span of this name; `follows` is the `traceparent` of what it goes on with."""
    if not is_on():
        yield
        return
    before = TraceContextTextMapPropagator().extract({HEADER: follows}) if follows else None
    kind = SpanKind.SERVER if is_served else SpanKind.INTERNAL
    # What an error says may quote anything: its kind alone is told, by `note`.
    quiet: Mapping[str, Any] = {"record_exception": False, "set_status_on_exception": False}
    with trace.get_tracer(NAME).start_as_current_span(name, context=before, kind=kind, **quiet):
        yield


def note(*, failed: bool = False, name: str | None = None, **attributes: str | int) -> None:
    """Say more of the span that something is done in: states and figures, and whether it failed."""
    if not is_on():
        return
    current = trace.get_current_span()
    current.set_attributes({key.replace("__", "."): value for key, value in attributes.items()})
    if name:
        current.update_name(name)
    if failed:
        current.set_status(Status(StatusCode.ERROR))


def begin() -> None:
    """Send this process's spans to where OpenTelemetry's variables say; without them to nowhere.

    After a fork: what sends them is a thread, which does not come along.
    """
    if not IS_INSTALLED or not any(os.environ.get(each) for each in ENDPOINTS):
        return
    from opentelemetry.exporter.otlp.proto.http.trace_exporter import OTLPSpanExporter
    from opentelemetry.sdk.resources import SERVICE_NAME, Resource
    from opentelemetry.sdk.trace import TracerProvider
    from opentelemetry.sdk.trace.export import BatchSpanProcessor

    provider = TracerProvider(resource=Resource.create({SERVICE_NAME: NAME}))
    provider.add_span_processor(BatchSpanProcessor(OTLPSpanExporter()))
    trace.set_tracer_provider(provider)


def end() -> None:
    """Send what was not sent yet: the process ends."""
    if not is_on():
        return
    provider: TracerProvider | Any = trace.get_tracer_provider()
    if hasattr(provider, "force_flush"):
        provider.force_flush()
