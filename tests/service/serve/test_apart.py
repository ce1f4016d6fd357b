"""A task in a process of its own: what it says, and what is said of it when it cannot say anything."""

import os
import signal
import time
from collections.abc import Callable
from dataclasses import replace
from multiprocessing.connection import wait
from typing import Any
from uuid import uuid4

import pytest

from service.documents.pdf.apart import MIB
from service.engine.ground.messages import Message, Quantity, message
from service.errors import Conflict
from service.serve.apart import Apart
from service.settings import Settings
from service.store.row_types import Task
from service.usecases.keeping import tasks
from service.usecases.keeping.tasks import KINDS, Kind
from tests.api import NOW

TASK: Task = {
    "id": uuid4(),
    "firm_id": uuid4(),
    "kind": "trial",
    "subject_id": uuid4(),
    "created_at": NOW,
    "due_at": NOW,
    "attempts": 1,
    "leased_until": NOW,
    "last_error": None,
    "dead_at": None,
    "request_id": None,
    "trace": None,
}
Ends = Callable[..., Message | None]


@pytest.fixture
def ended(sqlite_url: str, monkeypatch: pytest.MonkeyPatch) -> Ends:
    """What is said of a task that is done like this."""

    def how(handle: Callable[..., Any], **limits: int) -> Message | None:
        kind = Kind(handle=handle, lane="trials", pauses_s=())
        monkeypatch.setattr(tasks, "KINDS", {**KINDS, "trial": kind})
        settings = replace(Settings(database_url=sqlite_url), **limits)
        apart = Apart(settings, TASK)
        while not apart.has_ended():
            wait([apart.sentinel], timeout=0.05)
        return apart.error()

    return how


def test_what_is_done_is_done_elsewhere_and_well(ended: Ends, tmp_path: Any) -> None:
    def handle(*_: Any) -> None:
        (tmp_path / "pid").write_text(str(os.getpid()))

    assert ended(handle) is None
    assert int((tmp_path / "pid").read_text()) != os.getpid()


def test_what_was_wrong_comes_back_with_its_values(ended: Ends) -> None:
    refused = message("quotes.no_such_cavity", cavity="W1")

    def handle(*_: Any) -> None:
        raise Conflict(refused)

    assert ended(handle) == refused


def test_what_takes_too_long_is_ended(ended: Ends) -> None:
    error = ended(lambda *_: time.sleep(60), task_limit_s=1)
    assert error == message("tasks.out_of_time", limit=Quantity(1, "s"))


def test_what_takes_too_much_memory_is_told_so(ended: Ends) -> None:
    error = ended(lambda *_: bytearray(64 * 2**30), task_limit_mib=4096)
    assert error == message("tasks.out_of_memory")
    assert MIB == 2**20


def test_what_dies_without_a_word_is_told_so(ended: Ends) -> None:
    error = ended(lambda *_: os.kill(os.getpid(), signal.SIGKILL))
    assert error == message("tasks.died", status=-signal.SIGKILL)


def test_what_is_meant_for_the_worker_does_not_end_it(ended: Ends) -> None:
    def handle(*_: Any) -> None:
        for ending in (signal.SIGINT, signal.SIGTERM):
            os.kill(os.getpid(), ending)

    assert ended(handle) is None
