"""Who accepted is kept under a salted digest, sealed in the quote's chain, and answered as it was said."""

from sqlalchemy import Engine

from service.store import acceptances, seals
from service.store.session import writing
from service.usecases.base.context import Context
from service.usecases.work.accepted import Said, accepted_by, keep
from service.usecases.work.clients import digest
from tests.stored import DIGEST, NOW, Site, quote

SAID = Said(by="office", accepted_by="A client", how="by letter", document_sha256=DIGEST)


def test_it_is_sealed_and_named_by_a_digest(context: Context, own: Site, database: Engine) -> None:
    with writing(database) as connection:
        quote_id = quote(connection, own.firm_id)
        row = keep(connection, context, SAID, kind="quote", owner_id=quote_id, quote_id=quote_id)
        assert acceptances.of(connection, quote_id) == row
        (sealed,) = seals.of_quote(connection, quote_id)
    assert (sealed["kind"], sealed["subject"]) == ("acceptance", str(quote_id))
    assert row["sha256"] == digest(row["salt"] or "", {"accepted_by": "A client", "how": "by letter"})
    assert row["key_id"] == own.key_id


def test_who_holds_no_key_is_named_by_none(context: Context, own: Site, database: Engine) -> None:
    client = context.acting_for(own.firm_id, "client link")
    with writing(database) as connection:
        quote_id = quote(connection, own.firm_id)
        row = keep(connection, client, SAID, kind="quote", owner_id=quote_id, quote_id=quote_id)
    assert row["key_id"] is None
    said = {"by": "office", "document_sha256": DIGEST, "option": None, "accepted_at": NOW}
    assert accepted_by(row) == {**said, "accepted_by": "A client", "how": "by letter"}
    erased = {**said, "accepted_by": None, "how": None}
    assert accepted_by({**row, "data": None, "salt": None}) == erased
