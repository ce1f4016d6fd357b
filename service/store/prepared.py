"""Statements that every request runs: compiled once, and given to the driver itself.

SQLAlchemy looks at each run of a statement as if it were the first: that takes four times as long as the
statement. What it knows of types, of both databases and of their errors is asked of it here as well.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple, TypeVar, cast

from sqlalchemy import Connection, Dialect, Select, exc
from sqlalchemy.types import TypeEngine

Row = TypeVar("Row")
Convert = Callable[[Any], Any]


class _Compiled(NamedTuple):
    text: str
    values: Mapping[str, Any]
    """Of each parameter its value, where the statement has one."""
    order: Sequence[str] | None
    """In which the driver wants its parameters; None where it wants them by name."""
    sent: Mapping[str, Convert]
    """Of some parameters how the driver wants them."""


class Prepared:
    """A statement that selects, with parameters by name."""

    def __init__(self, statement: Select[Any]) -> None:
        self.statement = statement
        self._names = tuple(str(column.name) for column in statement.selected_columns)
        self._compiled: dict[str, _Compiled] = {}
        self._read: dict[str, tuple[tuple[str, Convert], ...]] = {}

    def one(self, connection: Connection, kind: type[Row], /, **values: Any) -> Row | None:
        """The only row that is found, if there is one."""
        rows = self.every(connection, kind, **values)
        if len(rows) > 1:
            raise exc.MultipleResultsFound("more than one row was found where one at most can be")
        return rows[0] if rows else None

    def every(self, connection: Connection, _kind: type[Row], /, **values: Any) -> list[Row]:
        """All rows that are found."""
        dialect = connection.dialect
        compiled = self._compiled.get(dialect.name) or self._compile(dialect)
        driver: Any = connection.connection.driver_connection
        try:
            cursor = driver.execute(compiled.text, _asked(compiled, values))
            rows = cursor.fetchall()
        except dialect.loaded_dbapi.Error as error:
            raise _failed(connection, compiled.text, error) from error
        read = self._read.get(dialect.name)
        if read is None:
            read = self._read[dialect.name] = self._reading(dialect, cursor.description)
        return cast(list[Row], [self._row(row, read) for row in rows])

    def _row(self, row: Sequence[Any], read: tuple[tuple[str, Convert], ...]) -> dict[str, Any]:
        found = dict(zip(self._names, row, strict=True))
        for name, convert in read:
            if found[name] is not None:
                found[name] = convert(found[name])
        return found

    def _compile(self, dialect: Dialect) -> _Compiled:
        compiled: Any = self.statement.compile(dialect=dialect)
        senders = {name: _sender(bound.type, dialect) for bound, name in compiled.bind_names.items()}
        self._compiled[dialect.name] = made = _Compiled(
            text=compiled.string,
            values=compiled.params,
            order=compiled.positiontup,
            sent={name: convert for name, convert in senders.items() if convert},
        )
        return made

    def _reading(self, dialect: Dialect, columns: Sequence[Any]) -> tuple[tuple[str, Convert], ...]:
        kinds = [column.type.dialect_impl(dialect) for column in self.statement.selected_columns]
        read = [
            kind.result_processor(dialect, column[1]) for kind, column in zip(kinds, columns, strict=True)
        ]
        return tuple((name, convert) for name, convert in zip(self._names, read, strict=True) if convert)


def _sender(kind: TypeEngine[Any], dialect: Dialect) -> Convert | None:
    return kind.dialect_impl(dialect).bind_processor(dialect)


def _asked(compiled: _Compiled, values: Mapping[str, Any]) -> Any:
    asked = {**compiled.values, **values}
    for name, convert in compiled.sent.items():
        asked[name] = convert(asked[name])
    return asked if compiled.order is None else [asked[name] for name in compiled.order]


def _failed(connection: Connection, text: str, error: Exception) -> BaseException:
    """The error as SQLAlchemy has it; a connection that was lost is given up."""
    dialect = connection.dialect
    lost = dialect.is_disconnect(cast(Any, error), connection.connection, None)
    failed = exc.DBAPIError.instance(
        text,
        None,
        error,
        dialect.loaded_dbapi.Error,
        hide_parameters=True,
        connection_invalidated=lost,
        dialect=dialect,
    )
    if lost:
        connection.invalidate(error)
    return failed
