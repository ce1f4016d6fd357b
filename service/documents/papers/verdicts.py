"""What a certificate says first: every part that fails, is undecided or is not part of it, by its name."""

from collections.abc import Mapping, Sequence
from typing import Any

Facts = dict[str, Any]


def verdicts(outcome: Mapping[str, Any]) -> dict[str, list[str]]:
    """The parts of an outcome by what is to be said of them."""
    found = {each["cavity"]: each["verdict"] for each in outcome["parts"]}
    filled = {each["cavity"]: each["filled"] for each in outcome["not_part"]}
    return {
        "conforming": [name for name, verdict in found.items() if verdict == "conforming"],
        "non_conforming": [name for name, verdict in found.items() if verdict == "non_conforming"],
        "undecided": [name for name, verdict in found.items() if verdict in ("inconclusive", None)],
        "not_filled": [name for name, is_filled in filled.items() if not is_filled],
        "left_out": [name for name, is_filled in filled.items() if is_filled],
    }


def conceded(concessions: Sequence[Facts]) -> list[Facts]:
    """Concessions of one reason, giver and day together, each with its conditions and where they are."""
    alike: dict[tuple[str, ...], list[Facts]] = {}
    for each in concessions:
        key = (each["reason"], each["granted_by"], each["granted_at"][:10])
        alike.setdefault(key, []).append(each)
    return [
        {"reason": reason, "granted_by": by, "granted_at": same[0]["granted_at"], "conditions": _of(same)}
        for (reason, by, _), same in alike.items()
    ]


def _of(concessions: Sequence[Facts]) -> list[Facts]:
    """Each condition once, with the parts that it is conceded for; none for the whole job."""
    parts: dict[str, list[str]] = {}
    for each in concessions:
        known = parts.setdefault(each["condition"], [])
        if each["cavity"]:
            known.append(each["cavity"])
    return [{"condition": condition, "cavities": cavities} for condition, cavities in parts.items()]
