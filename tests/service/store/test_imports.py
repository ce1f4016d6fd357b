"""An import says by which chain a quote came."""

import pytest
from sqlalchemy.exc import IntegrityError

from service.store import imports
from tests.stored import NOW, Site, quote


def test_an_import_is_noted_once(site: Site) -> None:
    quote_id, own = (quote(site.connection, site.firm_id) for _ in range(2))
    imports.add(site.connection, quote_id, firm_id=site.firm_id, chain={"after": "a"}, now=NOW)
    assert imports.of_quote(site.connection, quote_id) == {
        "quote_id": quote_id,
        "firm_id": site.firm_id,
        "chain": {"after": "a"},
        "imported_at": NOW,
    }
    assert imports.of_quote(site.connection, own) is None
    with pytest.raises(IntegrityError), site.connection.begin_nested():
        imports.add(site.connection, quote_id, firm_id=site.firm_id, chain={}, now=NOW)
