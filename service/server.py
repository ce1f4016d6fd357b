"""The server: gunicorn, with worker processes that wait for slow clients beside the work."""

import logging
import os
import shutil
import tempfile
from datetime import UTC, datetime
from typing import Any

from gunicorn.app.base import BaseApplication

from service.api.metrics import SHARED_FOLDER
from service.app import create_app
from service.errors import SettingsWrong
from service.settings import Settings
from service.store.session import open_database
from service.usecases import health, signing_keys
from service.worker import CLIENTS

# What a stopping server has begun has this long to end.
GRACE_S = 30


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
    if warning := health.wall_is_open_because(database):
        logging.getLogger("baywright").warning(warning)
    signing_keys.check(database, settings, datetime.now(UTC))
    database.dispose()
    options = {
        "bind": f"{host}:{port}",
        "workers": workers,
        "worker_class": "service.worker.Worker",
        "threads": CLIENTS,
        "keepalive": 0,
        "graceful_timeout": GRACE_S,
        # Rendering leaves some memory behind; a worker is replaced before it adds up.
        "max_requests": 2000,
        "max_requests_jitter": 200,
        "loglevel": "warning",
        "control_socket_disable": True,
    }
    arbiter, folder = os.getpid(), tempfile.mkdtemp(prefix="baywright-metrics-")
    os.environ[SHARED_FOLDER] = folder
    try:
        _Server(settings, options).run()
    finally:
        # A worker that is replaced leaves through here too, and the others still count.
        if os.getpid() == arbiter:
            shutil.rmtree(folder)
