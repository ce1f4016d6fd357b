"""Every source once, with the rules that rest on it."""

from service.documents.papers.sources import sources
from service.documents.wording.formats import Units

RULE = {"rule": "Mass balance", "source": "definition", "standing": "derived"}
TOLD = {"rules": ["Mass balance"], "source": "definition", "standing": "derived"}


def test_rules_are_found_however_deep_and_named_once() -> None:
    facts = {"a": [RULE | {"value": 1}, {"b": RULE | {"value": 2}}], "c": {"rule": "no source"}}
    assert sources(facts, Units("eu")) == [TOLD]


def test_the_same_rule_from_two_sources_is_two() -> None:
    assert sources([RULE, RULE | {"source": "another"}], Units("eu")) == [TOLD | {"source": "another"}, TOLD]


def test_rules_of_one_source_stand_together() -> None:
    together = TOLD | {"rules": ["Density", "Mass balance"]}
    assert sources([RULE, RULE | {"rule": "Density"}], Units("eu")) == [together]
    assert len(sources([RULE, RULE | {"rule": "Density", "standing": "published"}], Units("eu"))) == 2


def test_a_rule_is_told_in_the_papers_language() -> None:
    rule = {"code": "formula.dew_point", "values": {}}
    assert [each["rules"] for each in sources([RULE | {"rule": rule}], Units("eu", "de"))] == [["Taupunkt"]]
