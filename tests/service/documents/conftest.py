"""Documents that several tests read; each is made once."""

import pytest

from service.documents.papers import certificate, crew_sheet, quote
from service.engine.ground.vocabulary import Market
from tests import builders
from tests.service.documents import facts


@pytest.fixture(scope="session")
def record() -> facts.Facts:
    return facts.certificate()


@pytest.fixture(scope="session")
def small_record() -> facts.Facts:
    """One shared wall, one of single bays, one open blow."""
    return facts.certificate(facts.a_few(), off="W3 gable")


@pytest.fixture(scope="session")
def us_record() -> facts.Facts:
    attic = builders.attic(label="A1", label_r=38)
    return facts.certificate((*facts.cavities()[1:3], attic), Market.US, off=None)


@pytest.fixture(scope="session")
def certificate_pdf(record: facts.Facts) -> bytes:
    return certificate.pdf(record, facts.canonical(record))


@pytest.fixture(scope="session")
def us_certificate_pdf(us_record: facts.Facts) -> bytes:
    return certificate.pdf(us_record, facts.canonical(us_record))


@pytest.fixture(scope="session")
def quote_pdf() -> bytes:
    return quote.pdf(facts.quote())


@pytest.fixture(scope="session")
def crew_sheet_pdf() -> bytes:
    return crew_sheet.pdf(facts.crew_sheet())
