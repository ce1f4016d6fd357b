"""A client's data is put in place of a draft's, and erased once, with its salt."""

from service.store import clients
from tests.stored import DIGEST, LATER, PERSON, Site, quote


def test_another_client_takes_the_place_of_a_drafts(site: Site) -> None:
    quote_id, other_id = (quote(site.connection, site.firm_id) for _ in range(2))
    row = {"quote_id": quote_id, "data": {"name": "Another"}, "salt": "6" * 32, "sha256": DIGEST}
    clients.replace(site.connection, row)
    assert clients.of_quote(site.connection, quote_id)["data"] == {"name": "Another"}
    assert clients.of_quote(site.connection, other_id)["data"] == PERSON


def test_erasing_leaves_the_digest_the_reason_and_who(site: Site) -> None:
    quote_id = quote(site.connection, site.firm_id)
    erased = [
        clients.erase(site.connection, quote_id, reason=reason, key_id=site.key_id, now=LATER)
        for reason in ("Asked for", "Asked again")
    ]
    assert erased == [True, False]
    assert clients.of_quote(site.connection, quote_id) == {
        "quote_id": quote_id,
        "data": None,
        "salt": None,
        "sha256": DIGEST,
        "erased_at": LATER,
        "reason": "Asked for",
        "key_id": site.key_id,
    }
