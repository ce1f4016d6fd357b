"""The kinds of problem: each of our errors is of one, and each says what to do."""

import pytest

from service.api.problem_kinds import KINDS, Kind, kind_of
from service.api.problems import STATUS


def test_each_error_of_ours_has_a_kind() -> None:
    assert {int(status) for status in STATUS.values()} <= {kind.status for kind in KINDS.values()}


def test_where_nothing_more_is_known_the_plainest_kind_is_meant() -> None:
    conflict = kind_of(409)
    assert conflict is not None
    assert conflict.name == "conflict"
    assert kind_of(418) is None


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.name)
def test_each_says_in_sentences_what_it_means_and_what_to_do(kind: Kind) -> None:
    assert kind.meaning.endswith(".")
    assert kind.remedy.endswith(".")
    assert kind.path == f"/problems/{kind.name}"
