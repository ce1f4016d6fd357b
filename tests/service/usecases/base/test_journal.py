"""Whatever is made or changed of a firm is noted in its journal, in the same transaction."""

import hashlib
from uuid import UUID

import rfc8785
from sqlalchemy import Engine

from service.store import journal as stored
from service.store.session import reading
from service.usecases.base import journal
from service.usecases.firm import firms
from tests.api import Api


def kinds(database: Engine, firm_id: UUID) -> list[str]:
    with reading(database) as connection:
        return [row["kind"] for row in stored.of_firm(connection, firm_id)]


def test_it_is_a_chain_that_covers_what_it_is_of() -> None:
    """The rule, worked out here from its words."""
    of = UUID(int=1)
    link = f"{journal.NO_PREVIOUS}\nkey 00000000-0000-0000-0000-000000000001 {'2' * 64}"
    assert (
        journal.chained(journal.NO_PREVIOUS, kind="key", subject_id=of, sha256="2" * 64)
        == hashlib.sha256(link.encode()).hexdigest()
    )
    plain = {"id": str(of), "count": 3, "chain_sha256": "4" * 64}
    assert journal.of_quote(of, 3, "4" * 64) == hashlib.sha256(rfc8785.dumps(plain)).hexdigest()


def test_when_a_key_was_used_last_is_not_noted() -> None:
    row = {"id": UUID(int=1), "label": "A key", "last_used_at": None}
    assert journal.of_row("key", row) == journal.of_row("key", {**row, "last_used_at": "now"})
    assert journal.of_row("key", row) != journal.of_row("key", {**row, "label": "Another"})


def test_what_a_firm_does_is_noted_as_it_is_done(api: Api, database: Engine) -> None:
    firm_id = firms.id_of(database, "demo")
    for role in ("office", "sales"):
        api.key(role)
    before = kinds(database, firm_id)
    assert set(before) == {"firm", "materials", "build_ups", "price_lists", "lances", "practices", "key"}
    quote = api.quote()
    assert kinds(database, firm_id) == before, "a draft is nothing that was issued"
    assert api.send("POST", f"/v1/quotes/{quote['id']}/offer", role="sales").status_code == 200
    link = api.send("POST", f"/v1/quotes/{quote['id']}/links", {"days": 1}, role="sales").json
    crew = api.send("POST", "/v1/crews", {"name": "Crew 1"}, Idempotency_Key="crew").json
    new = api.send("POST", "/v1/keys", {"label": "X", "roles": ["sales"]}, Idempotency_Key="key").json
    for path in (f"links/{link['id']}", f"crews/{crew['id']}", f"keys/{new['prefix']}"):
        assert api.send("DELETE", f"/v1/{path}").status_code == 204, path
    done = ["quote", "link", "crew", "key", "key", "link", "key", "key"]
    assert kinds(database, firm_id) == [*before, *done]
