"""Where the figures of a document come from: every rule that it names, once."""

from collections.abc import Iterator
from typing import Any

from service.documents.wording.formats import Units
from service.documents.wording.sentences import in_words, source_in_words

TRACE = ("rule", "source", "standing")


def sources(facts: Any, units: Units) -> list[dict[str, Any]]:
    """Each source that the facts name, with its standing and its rules in words; sorted by these."""
    rules: dict[tuple[str, str], set[str]] = {}
    for each in _traced(facts):
        rules.setdefault((each["source"], each["standing"]), set()).add(in_words(each["rule"], units))
    found = [
        {"rules": sorted(names), "source": source_in_words(source, units), "standing": standing}
        for (source, standing), names in rules.items()
    ]
    return sorted(found, key=lambda each: (each["rules"], each["source"]))


def _traced(facts: Any) -> Iterator[dict[str, Any]]:
    if isinstance(facts, dict):
        if all(key in facts for key in TRACE):
            yield facts
        for each in facts.values():
            yield from _traced(each)
    elif isinstance(facts, list):
        for each in facts:
            yield from _traced(each)
