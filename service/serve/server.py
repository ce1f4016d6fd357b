"""The server: gunicorn, with worker processes that wait for slow clients beside the work."""

import fcntl
import logging
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from gunicorn.app.base import BaseApplication

from service.api.metrics import SHARED_FOLDER
from service.app import create_app
from service.errors import SettingsWrong
from service.serve.worker import CLIENTS
from service.settings import Settings
from service.store.session import open_database
from service.usecases.firm import signing_keys
from service.usecases.keeping import health

# What a stopping server has begun has this long to end.
GRACE_S = 30
# Folders with the workers' shares of the figures, among the temporary files.
FIGURES = "baywright-metrics-"


class _Server(BaseApplication):
    def __init__(self, settings: Settings, options: dict[str, Any]) -> None:
        self.settings, self.options = settings, options
        super().__init__()

    def load_config(self) -> None:
        for name, value in self.options.items():
            self.cfg.set(name, value)

    @property
    def largest_body_bytes(self) -> int:
        """More than this of a request need not be read."""
        return max(self.settings.body_limit_bytes, self.settings.photo_limit_bytes)

    def load(self) -> Any:
        return create_app(self.settings)


def serve(settings: Settings, *, host: str, port: int, workers: int) -> None:
    """Serve until stopped; raises SettingsWrong when schema or signing keys are not as they must be."""
    database = open_database(settings.database_url, operator=True)
    fault = health.not_ready_because(database)
    if fault:
        raise SettingsWrong(fault)
    if warning := health.not_isolated_because(database):
        logging.getLogger("baywright").warning(warning)
    signing_keys.check(database, settings, datetime.now(UTC))
    database.dispose()
    options = {
        "bind": f"{host}:{port}",
        "workers": workers,
        "worker_class": "service.serve.worker.Worker",
        "threads": CLIENTS,
        "keepalive": 0,
        "graceful_timeout": GRACE_S,
        # Rendering leaves some memory behind; a worker is replaced before it adds up.
        "max_requests": 2000,
        "max_requests_jitter": 200,
        "loglevel": "warning",
        "control_socket_disable": True,
    }
    with _figures() as folder:
        os.environ[SHARED_FOLDER] = folder
        _Server(settings, options).run()


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
