"""What a certificate says at a glance, for a page: whatever fails is among it, by its name."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from service.documents.papers.verdicts import verdicts
from service.documents.wording.formats import Units
from service.documents.wording.sentences import as_word, subject_in_words
from service.engine.ground.vocabulary import ConditionCode


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """Parts by what is to be said of them, every concession, and when the record was added to since.

    That is of one that stands: what was replaced or withdrawn asks for no new one.
    """

    parts: Mapping[str, list[str]]
    concessions: list[dict[str, Any]]
    added_to_at: str | None

    @property
    def flawed(self) -> bool:
        """Whether anything is not as it should be: such a page has no green tick."""
        return bool(self.unfit or self.parts["not_filled"] or self.concessions or self.added_to_at)

    @property
    def unfit(self) -> bool:
        """Whether a part does not conform, or nobody can say that it does."""
        return bool(self.parts["non_conforming"] or self.parts["undecided"])


def outcome(standing: Mapping[str, Any], units: Units) -> Outcome:
    """The outcome of a certificate, its vocabulary in the language of `units`."""
    told = standing["outcome"]
    return Outcome(
        parts=verdicts(told),
        concessions=[_conceded(each, units) for each in told["concessions"]],
        added_to_at=standing["added_to_at"] if standing["state"] == "in_force" else None,
    )


def _conceded(concession: Mapping[str, Any], units: Units) -> dict[str, Any]:
    """A concession in words; a subject that is the part itself was named already."""
    return {
        "cavity": concession["cavity"],
        "condition": as_word(ConditionCode(concession["condition"]), units),
        "subjects": [
            subject_in_words(each, units) for each in concession["subjects"] if each != concession["cavity"]
        ],
    }
