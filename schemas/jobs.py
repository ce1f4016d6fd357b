"""A job as the crew reads it."""

from marshmallow import Schema, fields, validate

from schemas.answers import Sentence, answer
from schemas.cavities import Cavity, Client, Site
from schemas.fields import Day, Moment, PageSize
from schemas.finding import FoundBy
from schemas.materials import NamedMaterial
from service.engine.ground.vocabulary import JobState
from service.engine.plan.lines import ShortTakeoff
from service.engine.plan.price import Price
from service.engine.plan.takeoff import Takeoff

STATES = [state.value for state in JobState]


class JobHead(Schema):
    """A job without its cavities; its ledger has moved on where an entry is newer than a certificate."""

    id = fields.UUID(metadata={"description": "The job's id."})
    number = fields.String(metadata={"description": "The job's number."})
    state = fields.String(
        validate=validate.OneOf(STATES),
        metadata={"description": "Whether it is open, certified or closed."},
    )
    quote_id = fields.UUID(metadata={"description": "The quote that it came from."})
    created_at = Moment(metadata={"description": "When the offer was accepted."})
    ledger_moved_on = fields.Boolean(
        metadata={"description": "Whether an entry is newer than the certificate of its part."}
    )
    moved_on_at = Moment(allow_none=True, metadata={"description": "When the first such entry came."})


class OfferedMaterial(NamedMaterial):
    """The material of an offer, as its sheet was on the day."""

    class Meta:
        """What a version has beside its sheet."""

        exclude = ("in_force_from",)


class BeforeStart(Schema):
    """Something that has to be there before a crew starts."""

    what = fields.String(metadata={"description": "What it is: figures, assignment or link."})
    detail = fields.Nested(Sentence, metadata={"description": "It in words."})
    call = fields.String(metadata={"description": "Telephone of the office, which sees to it."})


class OfferedJob(JobHead):
    """What both sizes of answer say of a job."""

    quote_number = fields.String(metadata={"description": "Number of the offer."})
    reference = fields.String(metadata={"description": "The caller's own name for it."})
    client = fields.Nested(Client, metadata={"description": "Whom the work is for."})
    site = fields.Nested(Site, metadata={"description": "Where the work is done."})
    client_erased_at = Moment(
        allow_none=True, metadata={"description": "When the client's personal data was erased."}
    )
    language = fields.String(metadata={"description": "What the documents are printed in."})
    offered_at = Moment(metadata={"description": "When it was offered."})
    valid_until = Day(metadata={"description": "The last day that the offer held."})
    before_start = fields.List(
        fields.Nested(BeforeStart),
        metadata={"description": "What is missing before a crew can start, and whom to call."},
    )


def _unpriced(kind: type) -> type[Schema]:
    """A takeoff as a job has it: its price is for sales and office alone."""
    price = fields.Nested(
        answer(Price), metadata={"description": "What it costs, for sales and office alone."}
    )
    return type(f"{kind.__name__}OfJob", (answer(kind),), {"price": price, "__doc__": _unpriced.__doc__})


class Job(OfferedJob):
    """A job in short: totals, and one line a part."""

    practice = fields.String(metadata={"description": "Code of the practice profile."})
    material = fields.String(metadata={"description": "Code of the material."})
    takeoff = fields.Nested(
        _unpriced(ShortTakeoff), metadata={"description": "What was worked out, in short."}
    )


class JobWorking(OfferedJob):
    """A job with its cavities, quantities, methods, holes and hold points."""

    market = fields.String(metadata={"description": "Whose units and rules of disclosure it follows."})
    material = fields.Nested(
        OfferedMaterial, metadata={"description": "The material, as its sheet was on the day."}
    )
    core_diameter_mm = fields.Float(
        allow_none=True,
        metadata={"description": "Inside of the firm's core cutter (mm); null where it cuts blocks."},
    )
    cavities = fields.List(
        fields.Nested(Cavity), metadata={"description": "The cavities as they were surveyed."}
    )
    takeoff = fields.Nested(_unpriced(Takeoff), metadata={"description": "What was worked out."})


class JobQuery(FoundBy):
    """Which jobs to list."""

    day = Day(metadata={"description": "Jobs that a crew is at on this day."})
    crew = fields.UUID(metadata={"description": "Jobs that are assigned to this crew."})
    state = fields.String(
        validate=validate.OneOf(STATES), metadata={"description": "Jobs that are in this state now."}
    )
    limit = PageSize()
    after = fields.UUID(metadata={"description": "Jobs after this one: the cursor of the page before."})
