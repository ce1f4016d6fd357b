"""Every source once, with the rules that rest on it."""

from service.documents.papers.sources import sources
from service.documents.wording.formats import Units

EU = Units("eu")
BALANCE, DEW_POINT = ({"code": f"formula.{code}", "values": {}} for code in ("mass_balance", "dew_point"))
RULE = {"rule": BALANCE, "source": "definition", "standing": "derived"}
TOLD = {"rules": ["Mass balance"], "source": "definition", "standing": "derived"}


def test_rules_are_found_however_deep_and_named_once() -> None:
    facts = {"a": [RULE | {"value": 1}, {"b": RULE | {"value": 2}}], "c": {"rule": "no source"}}
    assert sources(facts, EU) == [TOLD]


def test_the_same_rule_from_two_sources_is_two() -> None:
    assert sources([RULE, RULE | {"source": "another"}], EU) == [TOLD | {"source": "another"}, TOLD]


def test_rules_of_one_source_stand_together() -> None:
    other = RULE | {"rule": DEW_POINT}
    assert sources([RULE, other], EU) == [TOLD | {"rules": ["Dew point", "Mass balance"]}]
    assert len(sources([RULE, other | {"standing": "published"}], EU)) == 2


def test_a_rule_is_told_in_the_papers_language() -> None:
    told = sources([RULE | {"rule": DEW_POINT}], Units("eu", "de"))
    assert [each["rules"] for each in told] == [["Taupunkt"]]


def test_the_engines_words_in_a_published_source_are_told_in_the_papers_language() -> None:
    read = RULE | {"source": "ISO 6946: thickness over conductivity", "standing": "published"}
    (told,) = sources([read], Units("eu", "de"))
    assert told["source"] == "ISO 6946: Dicke durch Wärmeleitfähigkeit"
    (kept,) = sources([RULE | {"source": "a sheet of the firm's"}], Units("eu", "de"))
    assert kept["source"] == "a sheet of the firm's"
