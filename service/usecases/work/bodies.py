"""What is posted, as its schema read it: each member by its name and type.

A test holds these against the schemas, which say the ranges.
"""

from datetime import date
from typing import Any, NotRequired, TypedDict
from uuid import UUID


class ClientBody(TypedDict):
    """Whom the work is for."""

    name: str
    email: NotRequired[str]
    phone: NotRequired[str]
    billing_address: NotRequired[str]
    tax_number: NotRequired[str]


class SiteBody(TypedDict):
    """Where the work is done."""

    address: str
    country: str
    built_year: NotRequired[int]


class BuildingBody(TypedDict):
    """What takeoffs and quotes have in common; the engine reads cavities, extras and climate."""

    practice: str
    material: str
    currency: str
    priced_on: NotRequired[date]
    travel_km: NotRequired[float]
    extras: NotRequired[list[Any]]
    price_list: NotRequired[str]
    lines: NotRequired[list[Any]]
    discount: NotRequired[Any]
    tax: NotRequired[str]
    payments: NotRequired[list[Any]]
    notes: NotRequired[list[str]]
    starts_on: NotRequired[date]
    valid_days: NotRequired[int]
    display: NotRequired[str]
    cavities: list[Any]
    options: NotRequired[list["OptionBody"]]


class TakeoffBody(BuildingBody):
    """A building to be worked out, and what else is asked for; of a quote's body all else is only checked."""

    reference: NotRequired[str]
    client: NotRequired[ClientBody]
    site: NotRequired[SiteBody]
    language: NotRequired[str]
    explain: NotRequired[bool]
    what_if: NotRequired[bool]
    climate: NotRequired[Any]


class OptionBody(TypedDict):
    """What is different in an option; its cavities are whole."""

    text: str
    material: NotRequired[str]
    cavities: NotRequired[list[Any]]
    without: NotRequired[list[str]]


class QuoteBody(BuildingBody):
    """A building to be priced and kept."""

    reference: str
    client: ClientBody
    site: SiteBody
    language: str


class EstimateBody(TypedDict):
    """What is known of a building before it is surveyed; what is not said is the firm's usual."""

    practice: NotRequired[str]
    material: NotRequired[str]
    currency: NotRequired[str]
    priced_on: NotRequired[date]
    travel_km: NotRequired[float]
    extras: NotRequired[list[Any]]
    parts: list[Any]


class EstimateDraftBody(EstimateBody):
    """An estimate that becomes a draft."""

    reference: str
    client: ClientBody
    site: SiteBody
    language: str


PostedBuilding = TakeoffBody | QuoteBody


class CountBody(TypedDict):
    """How many of a cavity there are on site."""

    cavity: str
    count: int


class SupplementBody(TypedDict):
    """What came up on the way: cavities, other counts, and what else; at least one of them."""

    id: UUID
    by: str
    remark: NotRequired[str]
    cavities: NotRequired[list[Any]]
    counts: NotRequired[list[CountBody]]
    lines: NotRequired[list[Any]]
