"""What a request asks the database."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from flask import Flask
from sqlalchemy import event


@contextmanager
def statements(app: Flask) -> Iterator[list[str]]:
    """What is sent to the database; a statement with many rows is one."""
    sent: list[str] = []

    def note(_connection: Any, _cursor: Any, statement: str, *_: Any) -> None:
        sent.append(statement)

    database = app.extensions["database"]
    event.listen(database, "before_cursor_execute", note)
    yield sent
    event.remove(database, "before_cursor_execute", note)
