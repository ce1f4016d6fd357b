"""What jobs say of material is read job by job, with every correction; lots are added up by firm."""

from service.store import stock
from tests.stored import Site, firm, job, quote

NONE = dict.fromkeys(stock.FIGURES, 0)


def test_deliveries_and_corrections_of_the_job(site: Site) -> None:
    delivered = site.entry(1, "delivery", data={"bags": 3})
    site.entry(2, "note")
    corrected = site.entry(3, "correction", corrects=delivered)
    found = stock.said(site.connection, [site.job_id])
    assert [row["id"] for row in found] == [delivered, corrected]
    told = stock.said_by_all(site.connection, site.firm_id)
    assert [(of, row["id"]) for of, row in told] == [(None, delivered), (None, corrected)]
    assert stock.said(site.connection, [job(site.connection, site.firm_id)]) == []
    assert list(stock.said_by_all(site.connection, firm(site.connection))) == []


def test_lots_are_added_up_and_listed_newest_first(site: Site) -> None:
    connection, mine = site.connection, site.firm_id
    stock.add(connection, mine, {})
    stock.add(connection, mine, {("CF", "L1"): {**NONE, "left_over_bags": 8_000_000, "reclaimed_kg": 5}})
    stock.add(
        connection,
        mine,
        {
            ("CF", "L1"): {**NONE, "taken_bags": 3_000_000, "reclaimed_kg": -5},
            ("CF", "L2"): {**NONE, "left_over_bags": 500_000},
            ("XF", "L2"): {**NONE, "delivered_bags": 1},
        },
    )
    rows = stock.page(connection, firm_id=mine, lot=None, limit=9, before=None)
    assert [(row["material"], row["lot"]) for row in rows] == [("XF", "L2"), ("CF", "L2"), ("CF", "L1")]
    assert [rows[2][name] for name in ("left_over_bags", "taken_bags")] == [8_000_000, 3_000_000]
    assert rows[2]["reclaimed_kg"] == 0
    assert stock.there(connection, mine) == {"CF": 5_500_000, "XF": 0}
    older = stock.page(connection, firm_id=mine, lot=None, limit=1, before=rows[0]["id"])
    assert older == rows[1:2]
    assert stock.page(connection, firm_id=mine, lot="L2", limit=9, before=None) == rows[:2]
    assert sorted(map(str, stock.lots(connection, mine))) == sorted(map(str, rows))
    assert stock.page(connection, firm_id=firm(connection), lot=None, limit=9, before=None) == []


def test_a_job_has_the_material_that_it_was_offered_with(site: Site) -> None:
    quoted = quote(site.connection, site.firm_id, body={"material": "CF"})
    mine = job(site.connection, site.firm_id, quote_id=quoted)
    assert stock.material(site.connection, mine) == "CF"
    site.job_id = mine
    site.entry(1, "delivery")
    assert [of for of, _ in stock.said_by_all(site.connection, site.firm_id)] == ["CF"]
