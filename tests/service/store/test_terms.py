"""What is found by words is found by these and no others; not by the client once that is erased."""

from uuid import uuid4

from service.store import terms
from tests.stored import Site, firm


def test_other_words_take_the_place_of_a_drafts(site: Site) -> None:
    owner = uuid4()
    for said in ([("client", "a"), ("client", "a"), ("place", "b")], [("client", "c"), ("build_up", "w1")]):
        terms.replace(site.connection, firm_id=site.firm_id, owner_id=owner, terms=said)
    assert sorted(terms.of(site.connection, owner)) == [("build_up", "w1"), ("client", "c")]
    under = terms.owners(site.firm_id, "client", "c")
    assert list(site.connection.execute(under).scalars()) == [owner]
    assert not list(site.connection.execute(terms.owners(firm(site.connection), "client", "c")))
    terms.erase(site.connection, [owner])
    assert terms.of(site.connection, owner) == [("build_up", "w1")]
