"""What jobs say of material is read for a firm alone, with every correction."""

from service.store import stock
from tests.stored import Site, firm


def test_deliveries_and_corrections_of_the_firm(site: Site) -> None:
    delivered = site.entry(1, "delivery", data={"bags": 3})
    site.entry(2, "note")
    corrected = site.entry(3, "correction", corrects=delivered)
    found = stock.said(site.connection, firm_id=site.firm_id)
    assert [row["id"] for row in found] == [delivered, corrected]
    assert stock.said(site.connection, firm_id=firm(site.connection)) == []
