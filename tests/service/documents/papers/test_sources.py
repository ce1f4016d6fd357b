"""Every source once, with the rules that rest on it."""

from service.documents.papers.sources import sources

RULE = {"rule": "Mass balance", "source": "definition", "standing": "derived"}
TOLD = {"rules": ["Mass balance"], "source": "definition", "standing": "derived"}


def test_rules_are_found_however_deep_and_named_once() -> None:
    facts = {"a": [RULE | {"value": 1}, {"b": RULE | {"value": 2}}], "c": {"rule": "no source"}}
    assert sources(facts) == [TOLD]


def test_the_same_rule_from_two_sources_is_two() -> None:
    assert sources([RULE, RULE | {"source": "another"}]) == [TOLD | {"source": "another"}, TOLD]


def test_rules_of_one_source_stand_together() -> None:
    together = TOLD | {"rules": ["Density", "Mass balance"]}
    assert sources([RULE, RULE | {"rule": "Density"}]) == [together]
    assert len(sources([RULE, RULE | {"rule": "Density", "standing": "published"}])) == 2
