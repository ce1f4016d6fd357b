"""Issued files: made outside any transaction, attached once, then served as they are.

A record without its file is the sign that the file is still to be made. Making
it is repeatable, and the first one attached stays: whoever comes first may do
it, and doing it twice does no harm.
"""

from collections.abc import Callable, Mapping
from typing import Any
from uuid import UUID

from service.store import files
from service.store.session import reading, writing
from service.usecases.context import Context


def once(context: Context, kind: str, owner_id: UUID, make: Callable[[], bytes]) -> Mapping[str, Any]:
    """The file of an owner: the stored one, or a new one stored first."""
    with reading(context.database, firm_id=context.firm_id) as connection:
        stored = files.of(connection, kind=kind, owner_id=owner_id)
    if stored is not None:
        return stored
    content = make()
    with writing(context.database, firm_id=context.firm_id) as connection:
        files.attach(connection, kind=kind, owner_id=owner_id, content=content, now=context.now)
    with reading(context.database, firm_id=context.firm_id) as connection:
        attached = files.of(connection, kind=kind, owner_id=owner_id)
    assert attached is not None
    return attached
