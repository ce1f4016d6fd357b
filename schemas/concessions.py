"""A concession: what the office grants for a condition that is not met."""

from marshmallow import Schema

from schemas.answers import answer
from schemas.fields import Text, label, one_of
from service.engine.ground.vocabulary import ConditionCode
from service.engine.site import concessions


class ConcessionBody(Schema):
    """Which condition, why, and who grants it.

    Without a cavity it is for a condition of the whole job, or for the one that the subject names;
    without a subject for all that is unmet in the cavity now.
    """

    condition = one_of(ConditionCode, required=True, metadata={"description": "Code of the unmet condition."})
    cavity = label(
        metadata={
            "description": "Label of the cavity; left out for the whole job, or where the subject names one."
        }
    )
    subject = Text(
        metadata={"description": "What the condition is about; left out, all that is unmet there now."}
    )
    reason = Text(longest=1000, lines=True, required=True, metadata={"description": "Why it is let stand."})
    granted_by = label(required=True, metadata={"description": "Who grants it, by name."})


Concession = answer(concessions.Concession)
