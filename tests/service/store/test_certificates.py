"""Certificates keep the firm's chain in order, and say what has become of them."""

from typing import Any
from uuid import UUID

from uuid6 import uuid7

from service.store import certificates, files, imports, jobs
from service.store.contents import inside
from tests.stored import DIGEST, LATER, NOW, Site, firm


def add(site: Site, serial: int, year: int = 2026, *, position: int | None = None) -> dict[str, Any]:
    """A certificate of the site's job; its chain's digest is its serial's figure."""
    row = {
        **site.owned,
        "id": uuid7(),
        "position": position or serial,
        "year": year,
        "serial": serial,
        "number": f"{site.firm_id.hex[-12:]}-{year}-{serial}",
        "issued_at": NOW,
        "record": b"{}",
        "record_sha256": DIGEST,
        "previous_sha256": DIGEST,
        "chain_sha256": str(serial) * 64,
        "ledger_position": 1,
        "outcome": {"serial": serial},
    }
    certificates.add(site.connection, row)
    return row


def withdraw(site: Site, certificate_id: UUID, reason: str = "A slip") -> bool:
    row = {"certificate_id": certificate_id, "reason": reason, "withdrawn_at": LATER, "key_id": site.key_id}
    return certificates.withdraw(site.connection, row)


def supersede(site: Site, old: dict[str, Any], new: dict[str, Any]) -> None:
    row = {"certificate_id": old["id"], "superseded_by": new["id"]}
    certificates.supersede(site.connection, [row])


def ids(rows: Any) -> list[Any]:
    return [row["id"] for row in rows]


def test_a_certificate_comes_whole_to_its_firm_and_by_number_to_anybody(site: Site) -> None:
    row = add(site, 1)
    found = certificates.by_id(site.connection, firm_id=site.firm_id, certificate_id=row["id"])
    assert found
    assert {name: found[name] for name in row} == row  # type: ignore[literal-required]
    assert found["firm"] == {"name": "A firm"}
    become = ("superseded_by", "superseded_at", "withdrawal_reason", "withdrawn_at", "file_sha256")
    assert {found[name] for name in become} == {None}  # type: ignore[literal-required]
    other = firm(site.connection)
    assert certificates.by_id(site.connection, firm_id=other, certificate_id=row["id"]) is None
    assert certificates.by_number(site.connection, row["number"]) == found
    assert certificates.firm_of_number(site.connection, row["number"]) == site.firm_id
    assert certificates.firm_of_number(site.connection, "X") is certificates.by_number(site.connection, "X")


def test_what_has_become_of_it(site: Site) -> None:
    old, new = add(site, 1), add(site, 2)
    supersede(site, old, new)
    assert withdraw(site, new["id"]) is True
    assert withdraw(site, new["id"], "Once more") is False
    files.attach(site.connection, kind="certificate", owner_id=new["id"], placed=inside(b"x"), now=NOW)
    first, second = certificates.listed(site.connection, site.job_id)
    assert (first["superseded_by"], first["superseded_at"]) == (new["number"], NOW)
    assert (second["withdrawal_reason"], second["withdrawn_at"]) == ("A slip", LATER)
    assert first["file_sha256"] is None
    assert second["file_sha256"]
    assert "record" not in first
    (withdrawal,) = certificates.withdrawals_of_job(site.connection, site.job_id)
    (supersession,) = certificates.supersessions_of_job(site.connection, site.job_id)
    assert (withdrawal["certificate_id"], withdrawal["reason"]) == (new["id"], "A slip")
    assert supersession == {"certificate_id": old["id"], "superseded_by": new["id"]}


def test_in_force_is_what_was_neither_superseded_nor_withdrawn(site: Site) -> None:
    old, new, gone, kept = (add(site, serial) for serial in (1, 2, 3, 4))
    supersede(site, old, new)
    withdraw(site, gone["id"])
    add(Site(site.connection), 1)
    found = certificates.in_force(site.connection, site.job_id)
    assert ids(found) == [new["id"], kept["id"]]
    assert "record" not in found[0]


def test_superseding_none_is_no_fault(site: Site) -> None:
    add(site, 1)
    certificates.supersede(site.connection, [])
    assert certificates.supersessions_of_job(site.connection, site.job_id) == []


def test_the_order_of_issue_is_that_of_the_chain_whatever_year_a_clock_said(site: Site) -> None:
    assert certificates.chain_end(site.connection, site.firm_id) is None
    third, second, first = add(site, 2, position=3), add(site, 1, 2099, position=2), add(site, 1, position=1)
    order = [first["id"], second["id"], third["id"]]
    assert ids(certificates.of_job(site.connection, site.job_id)) == order
    assert ids(certificates.listed(site.connection, site.job_id)) == order
    assert ids(certificates.chain(site.connection, site.firm_id)) == order
    end = certificates.chain_end(site.connection, site.firm_id)
    assert end == {"position": 3, "chain_sha256": "2" * 64}


def test_neighbours_in_the_chain_across_jobs_and_years(site: Site) -> None:
    first, second, later = add(site, 1), add(site, 2), add(site, 1, 2027, position=3)
    add(Site(site.connection), 3)

    def neighbour(row: dict[str, Any], *, after: bool) -> Any:
        found = certificates.neighbour(site.connection, row, after=after)
        return found and found["id"]

    assert neighbour(second, after=True) == later["id"]
    assert neighbour(second, after=False) == first["id"]
    assert neighbour(later, after=False) == second["id"]
    assert neighbour(first, after=False) is neighbour(later, after=True) is None


def test_the_chain_says_what_was_imported(site: Site) -> None:
    add(site, 1)
    found = jobs.by_id(site.connection, firm_id=site.firm_id, job_id=site.job_id)
    assert found
    assert [row["imported"] for row in certificates.chain(site.connection, site.firm_id)] == [False]
    imports.add(site.connection, found["quote_id"], firm_id=site.firm_id, chain={}, now=NOW)
    assert [row["imported"] for row in certificates.chain(site.connection, site.firm_id)] == [True]
