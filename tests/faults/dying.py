"""A server whose process dies once, by its own hand, at a moment that a file names.

Run as the command line is: `python -m tests.faults.dying serve`. The file is the one that
BAYWRIGHT_TEST_DIES names; nothing happens while it is not there.
"""

import os
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from flask import has_request_context
from sqlalchemy import Connection

from service.cli import main as cli
from service.serve import server
from service.usecases.base import context

VARIABLE = "BAYWRIGHT_TEST_DIES"
BEFORE_COMMIT, AFTER_COMMIT, BEFORE_ANSWER = "before the commit", "after the commit", "before the answer"
MOMENTS = (BEFORE_COMMIT, AFTER_COMMIT, BEFORE_ANSWER)


def die(moment: str) -> None:
    """Die if this is the moment, and if nobody has died of it yet: who answers, not who works behind it."""
    mark = Path(os.environ[VARIABLE])
    if (
        (moment == BEFORE_ANSWER or has_request_context())
        and mark.exists()
        and mark.read_text(encoding="utf-8") == moment
    ):
        mark.unlink()
        os.kill(os.getpid(), signal.SIGKILL)


def dying(writing: Callable[..., Any]) -> Callable[..., Any]:
    """A transaction with moments to die at."""

    @contextmanager
    def run(*args: Any, **named: Any) -> Iterator[Connection]:
        with writing(*args, **named) as connection:
            yield connection
            die(BEFORE_COMMIT)
        die(AFTER_COMMIT)

    return run


def silent(create_app: Callable[..., Any]) -> Callable[..., Any]:
    """A service that dies with its answer in its mouth."""

    def create(settings: Any) -> Any:
        app = create_app(settings)
        answers = app.wsgi_app

        def answer(environ: Any, start_response: Any) -> Any:
            answered = answers(environ, start_response)
            if environ["REQUEST_METHOD"] != "GET":
                die(BEFORE_ANSWER)
            return answered

        app.wsgi_app = answer
        return app

    return create


if __name__ == "__main__":
    context.writing = dying(context.writing)
    server.create_app = silent(server.create_app)
    cli.main()
