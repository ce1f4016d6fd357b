"""An assessment: what a job's ledger shows, and what still stands in the way of a certificate."""

from typing import Any, ClassVar

from marshmallow import fields

from schemas.answers import answer
from service.engine.site import assessment
from service.engine.site.concessions import Concession
from service.engine.site.condition import Condition

Found: Any = answer(assessment.Assessment)


class Assessment(Found):  # type: ignore[misc]
    """What the ledger shows; `unmet` are the conditions that no concession covers."""

    roundings: ClassVar = {**Found.roundings, "unmet": Found.roundings.get("conditions", list)}

    concessions = fields.List(
        fields.Nested(answer(Concession)), metadata={"description": "What the office let stand."}
    )
    unmet = fields.List(
        fields.Nested(answer(Condition)),
        metadata={"description": "What still stands in the way of a certificate for the whole job."},
    )
