"""Whether the stock that is kept added up says what the entries of all jobs do."""

from collections.abc import Iterator
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import Message, message
from service.usecases.work import lots


def stock_faults(connection: Connection, firm_id: UUID) -> Iterator[Message]:
    """Each lot of a firm that is kept otherwise than its jobs say, and each material that is there."""
    said, kept = lots.summed(connection, firm_id), lots.kept(connection, firm_id)
    for of in sorted(said.keys() | kept.keys()):
        if said.get(of) != kept.get(of):
            material, lot = of
            yield message("keeping.stock_differs", material=material, lot=lot)
    said_there, there = lots.left(said), lots.kept_there(connection, firm_id)
    for material in sorted(said_there.keys() | there.keys()):
        if said_there.get(material) != there.get(material):
            yield message("keeping.stock_there_differs", material=material)
