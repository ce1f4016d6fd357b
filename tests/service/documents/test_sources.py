"""Every rule once."""

from service.documents.sources import sources

RULE = {"rule": "Mass balance", "source": "definition", "standing": "derived"}


def test_rules_are_found_however_deep_and_named_once() -> None:
    facts = {"a": [RULE | {"value": 1}, {"b": RULE | {"value": 2}}], "c": {"rule": "no source"}}
    assert sources(facts) == [RULE]


def test_the_same_rule_from_two_sources_is_two() -> None:
    other = RULE | {"source": "another"}
    assert sources([RULE, other]) == [other, RULE]
