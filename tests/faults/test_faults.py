"""The fault driver, for seconds; `docker/dev faults` runs it for minutes."""

import os
from pathlib import Path

import pytest

from tests.faults import driver
from tests.long import rounds

AT_MAKERS = rounds(short=2, long=40)
SECONDS, LEAST = rounds(short=6, long=60), rounds(short=4, long=60)
SEED = os.environ.get("BAYWRIGHT_TEST_SEED", "a fixed seed")


@pytest.mark.parametrize("database", driver.DATABASES)
def test_whatever_is_killed_all_that_was_answered_is_there_once(database: str, tmp_path: Path) -> None:
    with driver.DATABASES[database]() as new_database:
        url, server = new_database()
        outcome = driver.play(
            url, tmp_path, seed=SEED, seconds=SECONDS, least=LEAST, at_makers=AT_MAKERS, server=server
        )
    print(outcome)
    assert outcome.faults == []
    assert outcome.blows.total() >= LEAST
    assert outcome.told.broken > 0
    assert {"quote", "offer", "acceptance", "entries"} <= {s.what for s in outcome.told.writes if s.stored}
