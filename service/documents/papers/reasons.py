"""Why parts are filled as they are, and what to know of them: each sentence once, with its parts."""

from collections.abc import Iterable, Sequence
from json import dumps
from typing import Any

Part = dict[str, Any]

SPANNED = {"plan.no_proof_suffices": "u"}
"""What is true of many parts but for one figure: of all of them it is told from its least to its most."""


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
    alike: dict[str, list[tuple[Part, Any]]] = {}
    for part, sentence in told:
        alike.setdefault(_but_for_one_figure(sentence), []).append((part, sentence))
    return [
        {"said": _one([said for _, said in same]), "cavities": [part["cavity"]["label"] for part, _ in same]}
        for same in alike.values()
    ]


def _but_for_one_figure(sentence: Any) -> str:
    """What two sentences have in common that are told as one."""
    if not (name := SPANNED.get(sentence.get("code"))):
        return dumps(sentence, sort_keys=True)
    return dumps([sentence["code"], sentence["values"] | {name: None}], sort_keys=True)


def _one(sentences: Sequence[Any]) -> Any:
    """The one sentence that says what all of these say."""
    first = sentences[0]
    if not (name := SPANNED.get(first.get("code"))):
        return first
    figures = [each["values"][name]["value"] for each in sentences]
    span = {"least": min(figures), "most": max(figures), "unit": first["values"][name]["unit"]}
    return {"code": first["code"], "values": first["values"] | {name: span}}
