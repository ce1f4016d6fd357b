"""Crews, their links, and the days that they are assigned to jobs."""

from marshmallow import Schema, fields

from schemas.fields import Day, Moment, Several, label

MOST_DAYS = 200


class CrewBody(Schema):
    """A crew to be made."""

    name = label(required=True, metadata={"description": "What the crew is called on plans and papers."})


class CrewLink(Schema):
    """A crew's link in force; what opens it is shown only when it is made."""

    created_at = Moment(metadata={"description": "When the link was made."})
    last_used_at = Moment(
        allow_none=True, metadata={"description": "When it was used last, to the minute; null: never."}
    )


class Crew(Schema):
    """A crew of the firm."""

    id = fields.String(metadata={"description": "The crew's id."})
    name = fields.String(metadata={"description": "What the crew is called on plans and papers."})
    created_at = Moment(metadata={"description": "When the crew was made."})


class NewCrew(Crew):
    """A crew with a link that was just made."""

    url = fields.String(metadata={"description": "The crew's page with its link, shown this once."})


class ListedCrew(Crew):
    """A crew with its link in force, if it has one."""

    link = fields.Nested(
        CrewLink, allow_none=True, metadata={"description": "The link in force; null where none is."}
    )


class Crews(Schema):
    """The firm's crews."""

    items = fields.List(
        fields.Nested(ListedCrew), metadata={"description": "The firm's crews by their names."}
    )


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


class AssignedDay(Schema):
    """A crew on a day."""

    day = Day(metadata={"description": "The day, as the firm's calendar has it."})
    crew = fields.String(metadata={"description": "The crew's id."})
    name = fields.String(metadata={"description": "What the crew is called."})


class Assignment(Schema):
    """Which crews are at a job on which days."""

    days = fields.List(fields.Nested(AssignedDay), metadata={"description": "By day, then by crew."})
