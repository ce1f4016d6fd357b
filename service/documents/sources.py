"""Where the figures of a document come from: every rule that it names, once."""

from collections.abc import Iterator
from typing import Any

TRACE = ("rule", "source", "standing")


def sources(facts: Any) -> list[dict[str, str]]:
    """Each rule that the facts name, with its source and standing, sorted by its name."""
    found = {tuple(each[key] for key in TRACE) for each in _traced(facts)}
    return [dict(zip(TRACE, trace, strict=True)) for trace in sorted(found)]


def _traced(facts: Any) -> Iterator[dict[str, str]]:
    if isinstance(facts, dict):
        if all(key in facts for key in TRACE):
            yield facts
        for each in facts.values():
            yield from _traced(each)
    elif isinstance(facts, list):
        for each in facts:
            yield from _traced(each)
