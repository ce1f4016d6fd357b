"""Why parts are filled as they are, and what to know of them: each sentence once, with its parts."""

from collections.abc import Iterable, Sequence
from json import dumps
from typing import Any

Part = dict[str, Any]


def by_method(parts: Sequence[Part]) -> list[dict[str, Any]]:
    """Each method once: its parts, its reasons with the parts that each is true of, and why not a hose."""
    used: dict[str, list[Part]] = {}
    for part in parts:
        used.setdefault(part["planned"]["fill_plan"]["method"], []).append(part)
    return [
        {
            "method": method,
            "cavities": [part["cavity"]["label"] for part in same],
            "reasons": together((part, part["planned"]["fill_plan"]["reason"]) for part in same),
            "not_by_hose": together((part, said) for part in same for said in _hose_will_not_do(part)),
        }
        for method, same in used.items()
    ]


def _hose_will_not_do(part: Part) -> list[Any]:
    """What speaks against the plainest way; nothing where it was taken or does not come into question."""
    plan = part["planned"]["fill_plan"]
    if part["planned"]["open_blow"]:
        return []
    return [each["reason"] for each in plan["alternatives"] if each["method"] == "hose" and not each["works"]]


def cautions(parts: Sequence[Part]) -> list[dict[str, Any]]:
    """What readers must know of parts, without what only the crew does."""
    return together(
        (part, said)
        for part in parts
        for said in part["planned"]["cautions"]
        if said not in part["planned"]["fill_plan"]["notes"]
    )


def together(told: Iterable[tuple[Part, Any]]) -> list[dict[str, Any]]:
    """Each sentence once, with the labels of the parts that it was said of."""
    said: dict[str, dict[str, Any]] = {}
    for part, sentence in told:
        each = said.setdefault(dumps(sentence, sort_keys=True), {"said": sentence, "cavities": []})
        each["cavities"].append(part["cavity"]["label"])
    return list(said.values())
