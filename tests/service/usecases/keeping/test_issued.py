"""What the database has is held against how it was sealed; whatever differs is told."""

from uuid import UUID, uuid4

from sqlalchemy import Connection, Engine

from service.store import clients, seals
from service.store.session import reading, writing
from service.usecases.keeping.issued import examine
from service.usecases.work.clients import digest
from tests.said import said
from tests.stored import DIGEST, PERSON, firm, quote


def draft(connection: Connection, firm_id: UUID) -> UUID:
    """A draft as the service makes one: with the digest of its client's data."""
    quote_id = quote(connection, firm_id)
    salt = "5" * 32
    row = {"quote_id": quote_id, "data": PERSON, "salt": salt, "sha256": digest(salt, PERSON)}
    clients.replace(connection, row)
    return quote_id


def faults(database: Engine, firm_id: UUID, quote_id: UUID) -> list[str]:
    with reading(database) as connection:
        return list(map(said, examine(connection, firm_id=firm_id, quote_id=quote_id).faults))


def test_a_draft_is_as_it_was_made(database: Engine) -> None:
    with writing(database) as connection:
        firm_id = firm(connection)
        quote_id = draft(connection, firm_id)
    assert faults(database, firm_id, quote_id) == []


def test_a_client_of_another_digest_was_altered(database: Engine) -> None:
    with writing(database) as connection:
        firm_id = firm(connection)
        quote_id = quote(connection, firm_id)
    (fault,) = faults(database, firm_id, quote_id)
    assert fault == f"Quote {quote_id}: its client's data were altered."


def test_a_quote_that_is_gone_is_missed(database: Engine) -> None:
    (fault,) = faults(database, uuid4(), uuid4())
    assert "removed" in fault


def test_seals_without_what_they_seal_are_told(database: Engine) -> None:
    with writing(database) as connection:
        firm_id = firm(connection)
        quote_id = draft(connection, firm_id)
        row = {"kind": "offer", "subject": "x", "sha256": DIGEST, "chain_sha256": DIGEST}
        seals.add_all(connection, [{"quote_id": quote_id, "position": 1, **row}])
    told = " ".join(faults(database, firm_id, quote_id))
    assert "its chain is broken at seal 1" in told
    assert "the offer x was removed" in told
    assert "it has 1 seal and should have 0" in told
