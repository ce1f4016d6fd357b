"""What a stored entry says, as far as it is asked for without reading it as an entry."""

from collections.abc import Iterator, Mapping
from typing import Any


def kind_stated(row: Mapping[str, Any]) -> str:
    """The kind of what an entry states: of a correction that of what takes the place of another."""
    replacement = row["data"].get("replacement") or {}
    kind: str = replacement.get("kind", row["kind"])
    return kind


def stops_work(data: Mapping[str, Any]) -> bool:
    """Whether an entry, or what takes the place of another, answers a hold point by stopping the work."""
    answers = (each for said in _said(data) for each in (said, *(said.get("points") or ())))
    return any(each.get("answer") == "stopped" for each in answers)


def parts_named(data: Mapping[str, Any]) -> Iterator[str]:
    """The parts that an entry names, in what it says or in what takes the place of another."""
    for said in _said(data):
        if said.get("cavity"):
            yield said["cavity"]
        yield from said.get("cavities") or ()


def _said(data: Mapping[str, Any]) -> tuple[Mapping[str, Any], Mapping[str, Any]]:
    """What an entry says, and what takes the place of another where it corrects one."""
    return data, data.get("replacement") or {}
