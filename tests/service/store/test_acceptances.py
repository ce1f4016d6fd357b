"""Acceptances are found by what was accepted and by its quote; erased, their digests stay."""

from service.store import acceptances
from service.store.row_types import Acceptance
from tests.stored import DIGEST, LATER, NOW, Site, quote


def accepted(site: Site) -> Acceptance:
    """The acceptance of a quote of the firm's, not yet stored."""
    quote_id = quote(site.connection, site.firm_id)
    return {
        "owner_id": quote_id,
        "firm_id": site.firm_id,
        "quote_id": quote_id,
        "kind": "quote",
        "by": "office",
        "data": {"accepted_by": "A client", "how": "by letter"},
        "salt": "5" * 32,
        "sha256": DIGEST,
        "document_sha256": DIGEST,
        "option": None,
        "said_at": NOW,
        "link_id": None,
        "key_id": site.key_id,
        "erased_at": None,
    }


def test_it_is_found_by_what_was_accepted_and_by_its_quote(site: Site) -> None:
    row, other = accepted(site), accepted(site)
    for each in (row, other):
        acceptances.add(site.connection, each)
    assert acceptances.of(site.connection, row["owner_id"]) == row
    assert acceptances.of_quote(site.connection, row["quote_id"]) == [row]


def test_erasing_leaves_the_digests(site: Site) -> None:
    row = accepted(site)
    acceptances.add(site.connection, row)
    acceptances.erase(site.connection, row["quote_id"], LATER)
    erased = {**row, "data": None, "salt": None, "erased_at": LATER}
    assert acceptances.of(site.connection, row["owner_id"]) == erased
