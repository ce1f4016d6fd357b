from datetime import datetime

from service.engine.ground.vocabulary import BagsAre
from service.engine.site.said import said
from tests import site


def test_the_job_has_ended_when_the_left_overs_were_counted_last() -> None:
    ledger = site.ledger(
        site.delivery(bags=20), site.delivery(60, left_over=3), site.delivery(90, left_over=0)
    )
    ended_at = said(ledger=ledger).ended_at
    assert ended_at == datetime.fromisoformat("2026-11-23T09:30:00+00:00")
    assert said(ledger=site.ledger(site.delivery(bags=20))).ended_at is None


def test_a_tally_that_is_the_total_stands_for_every_visit_to_its_part() -> None:
    """W1, W2, W1, W1: two visits to W1, in one of which two notes were made."""
    tally = site.tally("W1", 60, bags=20, bags_are=BagsAre.TOTAL)
    ledger = site.ledger(
        site.fill("W1", 10, bags=3),
        site.fill("W2", 20, bags=3),
        site.fill("W1", 30, bags=3),
        site.fill("W1", 40, bags=3),
        tally,
        site.tally("W2", 70, bags=5, bags_are=BagsAre.BESIDES),
    )
    assert said(ledger=ledger).visits == {tally.id: 2}


def test_samples_are_cores_and_blocks_and_never_a_test_box() -> None:
    """A box says what the machine does."""
    core, block = site.core(73), site.block(495, minute=70)
    ledger = site.ledger(block, site.box(1100), core)
    assert said(ledger=ledger).samples == (core, block)
