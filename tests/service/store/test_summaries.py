"""What a summary is added up from is of its days and its firm."""

from datetime import timedelta
from decimal import Decimal

from service.store import summaries
from tests.stored import NOW, Site, firm, job, quote

DAYS = (NOW - timedelta(hours=1), NOW + timedelta(hours=1))
BEFORE = (NOW - timedelta(days=2), NOW)


def test_quotes_and_jobs_of_the_days_alone(site: Site) -> None:
    quote(site.connection, site.firm_id, total=Decimal(7), state="offered")
    other = firm(site.connection)
    job(site.connection, other)
    found = summaries.quotes_between(site.connection, firm_id=site.firm_id, days=DAYS)
    assert [Decimal(str(row["total"])) for row in found] == [Decimal("12.50"), Decimal(7)]
    assert summaries.quotes_between(site.connection, firm_id=site.firm_id, days=BEFORE) == []
    jobs = summaries.jobs_between(site.connection, firm_id=site.firm_id, days=DAYS, most=5)
    assert [each["id"] for each in jobs] == [site.job_id]
    assert summaries.jobs_between(site.connection, firm_id=site.firm_id, days=BEFORE, most=5) == []
