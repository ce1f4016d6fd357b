"""What is from memory or second hand advises; it neither decides nor is certified."""

import pytest

from service.engine.ground.vocabulary import Standing
from service.engine.survey.sourced import decides, vouched_for


@pytest.mark.parametrize("standing", Standing)
def test_hearsay_never_decides(standing: Standing) -> None:
    assert decides(standing=standing) is (standing not in {Standing.FROM_MEMORY, Standing.SECOND_HAND})


@pytest.mark.parametrize("standing", Standing)
def test_a_certificate_rests_on_what_somebody_stands_for(standing: Standing) -> None:
    ours = {Standing.DECLARED, Standing.PUBLISHED, Standing.DERIVED}
    assert vouched_for(standing=standing) is (standing in ours)
    assert not vouched_for(standing=standing) or decides(standing=standing)
