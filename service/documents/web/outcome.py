"""What a certificate says at a glance, as sentences of a page: whatever fails is among them, by its name."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from service.documents.web.pages import day
from service.documents.wording.sentences import as_word, subject_in_words
from service.engine.ground.vocabulary import ConditionCode, Verdict


@dataclass(frozen=True, slots=True)
class Line:
    """A sentence of a page; `bad` where it says that something is not as it should be."""

    text: str
    bad: bool


def lines(standing: Mapping[str, Any]) -> list[Line]:
    """The sentences of a certificate's outcome, and of what was added to the record since."""
    return [*_added(standing["added_to_at"]), *_parts(standing["outcome"]), *_conceded(standing["outcome"])]


def flawed(told: Sequence[Line]) -> bool:
    """Whether anything is not as it should be: such a page has no green tick."""
    return any(line.bad for line in told)


def _added(added_to_at: str | None) -> Iterator[Line]:
    if added_to_at:
        yield Line(
            f"The record was added to on {day(added_to_at)}, after this certificate was issued: ask for "
            "a new one.",
            bad=True,
        )


def _parts(outcome: Mapping[str, Any]) -> Iterator[Line]:
    verdicts = {each["cavity"]: each["verdict"] for each in outcome["parts"]}
    filled = {each["cavity"]: each["filled"] for each in outcome["not_part"]}
    failing = [name for name, verdict in verdicts.items() if verdict == Verdict.NON_CONFORMING]
    undecided = [name for name, verdict in verdicts.items() if verdict in (Verdict.INCONCLUSIVE, None)]
    unfilled = [name for name, is_filled in filled.items() if not is_filled]
    yield from _named("Does not conform", failing, bad=True)
    yield from _named("Undecided", undecided, bad=True)
    yield from _named("Not filled, and not part of this certificate", unfilled, bad=True)
    yield from _named("Not part of this certificate", [name for name in filled if filled[name]], bad=False)


def _named(what: str, parts: Sequence[str], *, bad: bool) -> Iterator[Line]:
    if parts:
        yield Line(f"{what}: {', '.join(parts)}.", bad=bad)


def _conceded(outcome: Mapping[str, Any]) -> Iterator[Line]:
    for each in outcome["concessions"]:
        where = f", {each['cavity']}" if each["cavity"] else ""
        subjects = ", ".join(map(subject_in_words, each["subjects"]))
        condition = as_word(ConditionCode(each["condition"]))
        yield Line(f"A concession was granted{where}: {condition} ({subjects}).", bad=True)
