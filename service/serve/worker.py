"""The worker: claims what is due and has it done, each task in a process of its own.

As many as wanted may run, on this machine or on others: a task is claimed by one of them. What
dies with a worker is claimed again when its lease is over. SIGTERM and SIGINT end a worker after
what it has begun.
"""

import logging
import os
import signal
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from multiprocessing.connection import wait
from typing import Any

from sqlalchemy import Engine

from service.api.requests import log_lines
from service.documents.pdf import render
from service.documents.pdf.apart import tell_system
from service.errors import SettingsWrong, Unavailable
from service.serve.apart import Apart
from service.settings import Settings
from service.store import objects
from service.store.session import open_database
from service.usecases.keeping import daily_anchors, health, tasks

log = logging.getLogger("baywright")

# Linux, sys/prctl.h.
PR_SET_NAME = 15
NAME = b"baywright-work"
"""What lists of processes call it."""
LOOKS_EVERY_S = 0.3
"""Somebody who asked for a document waits so long for it to be begun."""
AWAY_S = 2
ANCHORS_EVERY_S = 60
"""So soon after midnight (UTC) the day's anchors are queued."""


class Worker:
    """Tasks that are being done, in each lane as many as it has places."""

    def __init__(self, settings: Settings, database: Engine, parent: int | None = None) -> None:
        self.settings, self.database, self.parent = settings, database, parent
        self.lanes: dict[tuple[str, int], Apart] = {}
        self.stopping = False
        self.anchored = float("-inf")

    def stop(self, *_: Any) -> None:
        """Begin nothing any more."""
        self.stopping = True

    def run(self) -> None:
        """Work until stopped, or until the server that started this worker is gone."""
        while self.lanes or not self._is_over():
            try:
                self._look()
            except Unavailable as error:
                log.error("the database is not to be had: %s", error.detail)
                time.sleep(AWAY_S)
            self._rest()

    def _rest(self) -> None:
        """Until something ended, but no longer than somebody may wait."""
        if self.lanes:
            wait([apart.sentinel for apart in self.lanes.values()], timeout=LOOKS_EVERY_S)
        else:
            time.sleep(LOOKS_EVERY_S)

    def _is_over(self) -> bool:
        return self.stopping or (self.parent is not None and os.getppid() != self.parent)

    def _look(self) -> None:
        for place, apart in list(self.lanes.items()):
            if apart.has_ended():
                self._settle(apart)
                del self.lanes[place]
            elif time.monotonic() - apart.renewed > tasks.LEASE.total_seconds() / 3:
                tasks.renewed(self.database, apart.task, datetime.now(UTC))
                apart.renewed = time.monotonic()
        if time.monotonic() - self.anchored > ANCHORS_EVERY_S:
            daily_anchors.queue(self.database, datetime.now(UTC))
            self.anchored = time.monotonic()
        for lane, places in tasks.LANES.items():
            free = [(lane, n) for n in range(places) if (lane, n) not in self.lanes]
            # Where nothing is due for one place there is nothing for the others.
            while free and not self._is_over() and self._begin(free.pop()):
                continue

    def _begin(self, place: tuple[str, int]) -> bool:
        task = tasks.claimed(self.database, tasks.kinds_of(place[0]), datetime.now(UTC))
        if task is None:
            return False
        # No connection may be open while a process is forked.
        self.database.dispose()
        self.lanes[place] = Apart(self.settings, task)
        return True

    def _settle(self, apart: Apart) -> None:
        error = apart.error()
        tasks.settled(self.database, apart.task, error, now=datetime.now(UTC), seconds=apart.seconds)
        told = {
            "kind": apart.task["kind"],
            "subject": str(apart.task["subject_id"]),
            "firm": str(apart.task["firm_id"]),
            "attempt": apart.task["attempts"],
            "request_id": apart.task["request_id"],
            "ms": round(apart.seconds * 1000, 1),
        }
        log.log(
            logging.ERROR if error else logging.INFO, "task", extra={**told, "error": error and error.code}
        )


def work(settings: Settings, *, parent: int | None = None) -> None:
    """Work until SIGTERM or SIGINT; raises SettingsWrong where the queue cannot be seen."""
    log_lines(settings.log_level)
    tell_system(PR_SET_NAME, NAME)
    render.prepare()
    objects.prepare(objects.opened(settings))
    with operated(settings) as database:
        # What strangers wrote is made into documents over the service's connection, not the owner's.
        worker = Worker(replace(settings, owner_database_url=""), database, parent)
        for ending in (signal.SIGINT, signal.SIGTERM):
            signal.signal(ending, worker.stop)
        worker.run()


@contextmanager
def operated(settings: Settings) -> Iterator[Engine]:
    """The database as its operator sees it; raises SettingsWrong when it is not ready for a worker."""
    database = open_database(settings.operator_url, operator=True)
    try:
        if fault := health.unfit_because(database) or health.cannot_see_every_firm_because(database):
            raise SettingsWrong(fault)
        yield database
    finally:
        database.dispose()
