"""Crews and the days that they are assigned to jobs."""

from marshmallow import Schema, fields

from schemas.fields import Day, Several, label

MOST_DAYS = 200


class CrewBody(Schema):
    """A crew to be made."""

    name = label(required=True, metadata={"description": "What the crew is called on plans and papers."})


class AssignedDayBody(Schema):
    """A crew on a day."""

    day = Day(required=True, metadata={"description": "The day, as the firm's calendar has it."})
    crew = fields.UUID(required=True, metadata={"description": "The crew's id."})


class AssignmentBody(Schema):
    """Which crews are at a job on which days; it takes the place of what was said before."""

    days = Several(
        fields.Nested(AssignedDayBody),
        most=MOST_DAYS,
        required=True,
        metadata={"description": "Each day with a crew; none takes the job out of every crew's plan."},
    )
