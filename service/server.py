"""The server: gunicorn with plain workers, one request at a time each.

A worker that waits for SQLite's lock then waits alone; threads would queue
behind one another and fail together.
"""

import os
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


class _Server(BaseApplication):
    def __init__(self, settings: Settings, options: dict[str, Any]) -> None:
        self.settings, self.options = settings, options
        super().__init__()

    def load_config(self) -> None:
        for name, value in self.options.items():
            self.cfg.set(name, value)

    def load(self) -> Any:
        return create_app(self.settings)


def serve(settings: Settings, *, host: str, port: int, workers: int) -> None:
    """Serve until stopped; raises SettingsWrong when schema or signing keys are not as they must be."""
    database = open_database(settings.database_url, operator=True)
    fault = health.not_ready_because(database)
    if fault:
        raise SettingsWrong(fault)
    signing_keys.check(database, settings, datetime.now(UTC))
    database.dispose()
    options = {
        "bind": f"{host}:{port}",
        "workers": workers,
        "worker_class": "sync",
        "timeout": 120,
        "graceful_timeout": 30,
        # Rendering leaves some memory behind; a worker is replaced before it adds up.
        "max_requests": 2000,
        "max_requests_jitter": 200,
        "loglevel": "warning",
        "control_socket_disable": True,
    }
    with tempfile.TemporaryDirectory(prefix="baywright-metrics-") as folder:
        os.environ[SHARED_FOLDER] = folder
        _Server(settings, options).run()
