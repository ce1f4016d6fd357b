"""One task in a process of its own: forked, held to a time and to memory, and judged by how it ended."""

import json
import tempfile
import time
from datetime import UTC, datetime
from multiprocessing.connection import Connection
from tempfile import TemporaryDirectory
from typing import Any

from service import tracing
from service.documents.pdf.apart import FOLDER, FORK, hold
from service.engine.ground.messages import Message, Quantity, from_plain, message, to_plain
from service.settings import Settings
from service.store import objects
from service.store.row_types import Task
from service.store.session import open_database
from service.usecases.base.context import Context
from service.usecases.keeping import tasks


class Apart:
    """A task that is being done in a process of its own.

    Whoever forks has no connection to a database open: SQLite does not bear it.
    """

    def __init__(self, settings: Settings, task: Task) -> None:
        self.task = task
        self.limit_s = min(settings.task_limit_s, tasks.KINDS[task["kind"]].limit_s or settings.task_limit_s)
        self.began = self.renewed = time.monotonic()
        self._said, sender = FORK.Pipe(duplex=False)
        self._process = FORK.Process(target=_do, args=(settings, task, sender))
        self._process.start()
        sender.close()

    @property
    def sentinel(self) -> int:
        """What becomes readable when it has ended."""
        return self._process.sentinel

    @property
    def seconds(self) -> float:
        """For how long it has been at it."""
        return time.monotonic() - self.began

    def has_ended(self) -> bool:
        """Whether it has ended; one that takes too long is ended here."""
        if self._process.is_alive() and self.seconds > self.limit_s:
            self._process.kill()
            self._process.join()
        return not self._process.is_alive()

    def error(self) -> Message | None:
        """What was wrong, once it has ended."""
        said = self._last_words()
        if said is not None:
            return from_plain(said) if said else None
        if self.seconds > self.limit_s:
            return message("tasks.out_of_time", limit=Quantity(self.limit_s, "s"))
        # Libraries that are not Python's end the process where memory runs out.
        return message("tasks.died", status=self._process.exitcode or 0)

    def _last_words(self) -> Any:
        try:
            # Plain JSON: who makes documents of strangers' texts is not believed to send anything else.
            return json.loads(self._said.recv_bytes()) if self._said.poll() else None
        except (EOFError, OSError, ValueError):
            return None


def _do(settings: Settings, task: Task, sender: Connection) -> None:
    """Do the task and say what was wrong; an empty word says that nothing was."""
    hold(settings.task_limit_s, settings.task_limit_mib)
    tracing.follow(task["request_id"])
    with TemporaryDirectory(prefix=FOLDER) as tempfile.tempdir:
        error = _done(settings, task)
    sender.send_bytes(json.dumps(to_plain(error) if error else {}).encode())


def _done(settings: Settings, task: Task) -> Message | None:
    database = open_database(settings.database_url, objects=objects.opened(settings))
    context = Context(database=database, settings=settings, caller=None, now=datetime.now(UTC))
    tracing.begin()
    error = _performed(context, task)
    tracing.end()
    database.dispose()
    return error


def _performed(context: Context, task: Task) -> Message | None:
    """Do the task in a span that goes on with the request that it follows."""
    with tracing.span(f"task {task['kind']}", follows=task["trace"]):
        error = tasks.performed(context, task)
        said = {"baywright__error": error.code} if error else {}
        tracing.note(
            failed=error is not None,
            baywright__attempt=task["attempts"],
            baywright__request_id=task["request_id"] or "",
            **said,
        )
    return error
