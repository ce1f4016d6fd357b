"""What judges the documents from outside."""

from collections.abc import Iterator

import pytest

from tests.verapdf import Judged, judge


@pytest.fixture(scope="session")
def judged() -> Iterator[Judged]:
    """veraPDF, started once."""
    with judge() as judged:
        yield judged
