"""The server: gunicorn with its own sync workers, each a process that does one request at a time.

A slow client holds the worker that reads from it: for strangers a proxy that takes in whole
requests stands in front.
"""

import fcntl
import logging
import os
import shutil
import signal
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from flask import Flask, Response
from gunicorn.app.base import BaseApplication
from gunicorn.arbiter import Arbiter
from gunicorn.glogging import Logger
from gunicorn.http.errors import ParseException

from service.api import problems
from service.api.metrics import SHARED_FOLDER
from service.app import create_app
from service.documents.pdf.apart import PR_SET_PDEATHSIG, tell_system
from service.errors import SettingsWrong
from service.serve.with_worker import GRACE_S, WithWorker
from service.serve.worker import operated
from service.settings import Settings
from service.store import objects
from service.store.session import open_database
from service.usecases.firm import signing_keys
from service.usecases.keeping import health

log = logging.getLogger("baywright")

# A worker that is at one request for longer is ended, and another one started.
LONGEST_REQUEST_S = 120
NO_PUBLIC_URL = (
    "BAYWRIGHT_PUBLIC_URL is not set: certificates and links would lead nowhere. Set it to the address that "
    "this service has for everybody; to try it on this machine alone: export BAYWRIGHT_PUBLIC_URL=http://{host}:{port}"
)
# Folders with the workers' shares of the figures, among the temporary files.
FIGURES = "baywright-metrics-"


class DiscreetLogger(Logger):
    """gunicorn's log without anything of a request: a key or a client's link may be in it."""

    def warning(self, msg: str, *args: Any, **kwargs: Any) -> None:
        """Leave out what gunicorn quotes of what is no request."""
        if msg.startswith("Invalid request"):
            msg, args = "What was sent is no request of HTTP.", ()
        super().warning(msg, *args, **kwargs)

    def exception(self, msg: str, *args: Any, **kwargs: Any) -> None:
        """Name the error of a request alone: its trace and its address quote the request."""
        if msg.startswith("Error handling request"):
            kind = sys.exc_info()[0]
            self.error("A request could not be handled: %s.", kind.__name__ if kind else "unknown")
        else:
            super().exception(msg, *args, **kwargs)


class _Server(BaseApplication):
    def __init__(self, settings: Settings, options: dict[str, Any], works: bool) -> None:
        self.settings, self.options, self.works = settings, options, works
        super().__init__()

    def run(self) -> None:
        (WithWorker if self.works else Arbiter)(self).run()

    def load_config(self) -> None:
        for name, value in self.options.items():
            self.cfg.set(name, value)

    def load(self) -> Flask:
        app = create_app(self.settings)
        # That chunks are none is found while the service reads its body.
        app.register_error_handler(ParseException, _no_body)
        return app


def _no_body(_error: ParseException) -> Response:
    return problems.problem(400, "The body is not in chunks as HTTP has them.")


def serve(settings: Settings, *, host: str, port: int, workers: int, works: bool = True) -> None:
    """Serve until stopped, and have documents made where it `works`.

    Raises SettingsWrong when schema or signing keys are not as they must be.
    """
    _must_be_fit(settings, works)
    if not settings.public_url:
        raise SettingsWrong(NO_PUBLIC_URL.format(host=host, port=port))
    options = {
        "bind": f"{host}:{port}",
        "workers": workers,
        "worker_class": "sync",
        "timeout": LONGEST_REQUEST_S,
        # Of headers that a proxy sets only X-Forwarded-For is read, by the service, when a proxy is named.
        "forwarded_allow_ips": "",
        "forwarder_headers": "",
        "logger_class": DiscreetLogger,
        "graceful_timeout": GRACE_S,
        # Rendering leaves some memory behind; a worker is replaced before it adds up.
        "max_requests": 2000,
        "max_requests_jitter": 200,
        "loglevel": "warning",
        "control_socket_disable": True,
        "when_ready": _say_where,
        "post_fork": _end_with_arbiter,
        "post_worker_init": _end_without_arbiter,
    }
    with _figures() as folder:
        os.environ[SHARED_FOLDER] = folder
        _Server(settings, options, works).run()


def _must_be_fit(settings: Settings, works: bool) -> None:
    """See that the database can be served from; raises SettingsWrong, or warns of what only weakens."""
    database = open_database(settings.database_url, objects=objects.opened(settings))
    try:
        if fault := health.unfit_because(database):
            raise SettingsWrong(fault)
        for warning in (health.not_isolated_because(database), health.unguarded_because(database)):
            if warning:
                log.warning(warning)
    finally:
        database.dispose()
    if works or settings.owner_database_url:
        with operated(settings) as operator:
            signing_keys.check(operator, settings, datetime.now(UTC))


def _end_with_arbiter(_arbiter: Any, _worker: Any) -> None:
    """Have Linux tell a worker when its arbiter is gone.

    gunicorn's own looks for it when nobody waits, and then every minute: others could not listen meanwhile.
    """
    tell_system(PR_SET_PDEATHSIG, signal.SIGTERM)


def _end_without_arbiter(worker: Any) -> None:
    """A worker whose arbiter was gone before it could be told begins nothing."""
    worker.alive = worker.alive and worker.ppid == os.getppid()


def _say_where(arbiter: Any) -> None:
    """Tell the operator that it began to listen, and where to read on."""
    for listener in arbiter.LISTENERS:
        print(f"Baywright answers at {listener}; its documentation is at {listener}/docs", flush=True)


@contextmanager
def _figures() -> Iterator[str]:
    """A folder for this server's figures; those of servers that were killed are removed."""
    _remove_left_behind()
    arbiter, folder = os.getpid(), _locked_folder()
    try:
        yield folder
    finally:
        # A worker that is replaced leaves through here too, and the others still count.
        if os.getpid() == arbiter:
            shutil.rmtree(folder)


def _locked_folder() -> str:
    """A new folder, locked for as long as this process or one of its workers lives."""
    while True:
        folder = tempfile.mkdtemp(prefix=FIGURES)
        with suppress(FileNotFoundError):
            # Never closed: the lock ends with the last process that has it.
            fcntl.flock(os.open(folder, os.O_RDONLY), fcntl.LOCK_EX)
            # Another server that is starting may have found it before it was locked.
            if Path(folder).exists():
                return folder


def _remove_left_behind() -> None:
    for folder in Path(tempfile.gettempdir()).glob(f"{FIGURES}*"):
        # What is no folder, somebody else's, or in use raises.
        with suppress(OSError):
            opened = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW)
            try:
                fcntl.flock(opened, fcntl.LOCK_EX | fcntl.LOCK_NB)
                shutil.rmtree(folder)
            finally:
                os.close(opened)
