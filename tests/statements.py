"""What a request asks the database."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from unittest import mock

from flask import Flask
from sqlalchemy import Connection, event

from service.store.prepared import Prepared


@contextmanager
def statements(app: Flask) -> Iterator[list[str]]:
    """What is sent to the database; a statement with many rows is one."""
    sent: list[str] = []

    def note(_connection: Any, _cursor: Any, statement: str, *_: Any) -> None:
        sent.append(statement)

    asked = Prepared.every

    def every(prepared: Prepared, connection: Connection, kind: Any, /, **values: Any) -> Any:
        sent.append(str(prepared.statement.compile(dialect=connection.dialect)))
        return asked(prepared, connection, kind, **values)

    database = app.extensions["database"]
    event.listen(database, "before_cursor_execute", note)
    try:
        with mock.patch.object(Prepared, "every", every):
            yield sent
    finally:
        event.remove(database, "before_cursor_execute", note)
