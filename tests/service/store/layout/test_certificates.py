"""Certificates, files and links: rows hold what their tables have, and what cannot be is refused."""

import pytest
from sqlalchemy import Connection, Table, insert
from sqlalchemy.exc import IntegrityError

from service.store.layout import certificates
from tests.columns import assert_part_of, assert_row_of, name_of
from tests.stored import NOW, Site, quote


@pytest.mark.parametrize(
    ("kind", "table"),
    [
        (certificates.Certificate, certificates.certificates),
        (certificates.Supersession, certificates.supersessions),
        (certificates.Withdrawal, certificates.withdrawals),
        (certificates.File, certificates.files),
        (certificates.Link, certificates.links),
    ],
    ids=name_of,
)
def test_a_row_has_the_columns_of_its_table(kind: type, table: Table) -> None:
    assert_row_of(kind, table)


def test_a_head_has_columns_of_its_table() -> None:
    assert_part_of(certificates.CertificateHead, certificates.certificates)


def test_a_file_without_content_was_erased(site: Site) -> None:
    owner = quote(site.connection, site.firm_id)
    row = {"kind": "quote", "owner_id": owner, "sha256": "0" * 64, "created_at": NOW}
    for wrong in ({"content": None}, {"content": b"x", "erased_at": NOW}):
        with pytest.raises(IntegrityError), site.connection.begin_nested():
            site.connection.execute(insert(certificates.files).values(**row, **wrong))


def test_a_link_is_to_a_quote_or_a_certificate(connection: Connection, site: Site) -> None:
    row = {"id": site.job_id, "firm_id": site.firm_id, "owner_id": site.job_id}
    moments = {"expires_at": NOW, "created_at": NOW}
    with pytest.raises(IntegrityError), connection.begin_nested():
        connection.execute(insert(certificates.links).values(**row, **moments, kind="job"))
