"""Who accepted is whole or erased, and by one of two ways."""

from typing import Any

import pytest
from sqlalchemy.exc import DBAPIError

from service.store import acceptances
from service.store.layout.acceptances import Acceptance
from service.store.layout.acceptances import acceptances as table
from tests.columns import assert_row_of
from tests.service.store.test_acceptances import accepted
from tests.stored import Site


def test_a_row_has_the_columns_of_its_table() -> None:
    assert_row_of(Acceptance, table)


@pytest.mark.parametrize(
    "values", [{"data": None}, {"salt": None}, {"sha256": "short"}, {"by": "nobody"}], ids=str
)
def test_what_cannot_be_is_refused(site: Site, values: dict[str, Any]) -> None:
    row = accepted(site)
    with pytest.raises(DBAPIError), site.connection.begin_nested():
        acceptances.add(site.connection, {**row, **values})
