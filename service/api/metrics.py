"""Figures for whoever watches the service: requests by route and status, and how long they took.

With several worker processes the figures are those of all of them: `server.py`
names a folder in which the workers keep their shares.
"""

import logging
import os
import time
from collections.abc import Iterator
from datetime import UTC, datetime

from flask import Flask, Response, current_app, g
from flask.globals import request_ctx
from prometheus_client import (
    CONTENT_TYPE_LATEST,
    CollectorRegistry,
    Counter,
    Histogram,
    generate_latest,
    values,
)
from prometheus_client.metrics_core import CounterMetricFamily, GaugeMetricFamily, Metric
from prometheus_client.multiprocess import MultiProcessCollector
from prometheus_client.registry import Collector

from service.api.blueprint import Blueprint, operators
from service.api.requests import method_of, route_of
from service.usecases.keeping import tasks

log = logging.getLogger("baywright")

SHARED_FOLDER = "PROMETHEUS_MULTIPROC_DIR"

GAUGES = {
    "waiting": "Tasks that are to be done",
    "dead": "Tasks that were given up",
    "oldest_seconds": "Age of the oldest that waits",
}
COUNTERS = {
    "done": "Tasks that were done",
    "failed": "Attempts that failed",
    "seconds": "Time spent on attempts",
}

blp = Blueprint("metrics", __name__, description="For whoever watches the service.")


@blp.route("/metrics")
@blp.doc(responses={"200": {"description": "Figures", "content": {CONTENT_TYPE_LATEST: {}}}})
@operators
def read() -> Response:
    """All figures, in the exposition format of Prometheus; nothing of any client.

    For whoever has the key that BAYWRIGHT_METRICS_KEY sets; without one there are none.
    """
    registry = CollectorRegistry()
    if SHARED_FOLDER in os.environ:
        MultiProcessCollector(registry)  # type: ignore[no-untyped-call]
    else:
        registry.register(current_app.extensions["metrics"])
    registry.register(_Tasks())
    return Response(generate_latest(registry), content_type=CONTENT_TYPE_LATEST)


class _Tasks(Collector):
    """What is done after requests: by all workers on all machines, as the database has it."""

    def collect(self) -> Iterator[Metric]:
        """A family for each figure, a sample for each kind of task."""
        figures = tasks.figures(current_app.extensions["database"], datetime.now(UTC))
        for name, meaning in GAUGES.items():
            gauge = GaugeMetricFamily(f"baywright_tasks_{name}", meaning, labels=["kind"])
            for each in figures:
                gauge.add_metric([each.kind], getattr(each, name))
            yield gauge
        for name, meaning in COUNTERS.items():
            counter = CounterMetricFamily(f"baywright_tasks_{name}", meaning, labels=["kind"])
            for each in figures:
                counter.add_metric([each.kind], getattr(each, name))
            yield counter


def register(app: Flask) -> None:
    """Count and time every request of `app`."""
    # The library chose its kind of value when it was imported, before a server could name the folder.
    values.ValueClass = values.get_value_class()  # type: ignore[no-untyped-call]
    registry = CollectorRegistry()
    labels = ("method", "route", "status")
    requests = Counter("baywright_requests", "Requests answered", labels, registry=registry)
    seconds = Histogram("baywright_request_seconds", "Time to answer", labels[:2], registry=registry)

    app.extensions["metrics"] = registry
    # The library looks for a label's figures under a lock, and by all of its values as text.
    kept: dict[tuple[str, str, int], tuple[Counter, Histogram]] = {}

    @app.after_request
    def _count(response: Response) -> Response:
        asked = request_ctx.request
        named = method_of(asked), route_of(asked), response.status_code
        try:
            if named not in kept:
                kept[named] = requests.labels(*named), seconds.labels(*named[:2])
            counter, histogram = kept[named]
            counter.inc()
            histogram.observe(time.perf_counter() - g.began)
        except (OSError, ValueError):
            # What was asked is done by now: a figure that cannot be kept must not make an error of it.
            log.exception("a request was not counted")
        return response
