"""What use cases read of a body is what its schema lets through."""

from typing import get_type_hints

import pytest
from marshmallow import Schema

from schemas import cavities, estimates, quotes, takeoffs
from service.usecases.work import bodies

READ_BY = {
    bodies.ClientBody: cavities.Client,
    bodies.SiteBody: cavities.Site,
    bodies.TakeoffBody: takeoffs.TakeoffBody,
    bodies.QuoteBody: quotes.QuoteBody,
    bodies.EstimateBody: estimates.EstimateBody,
    bodies.EstimateDraftBody: estimates.EstimateDraftBody,
}


@pytest.mark.parametrize("body", READ_BY, ids=lambda body: body.__name__)
def test_a_body_has_the_members_of_its_schema(body: type) -> None:
    assert get_type_hints(body).keys() == READ_BY[body]().fields.keys()


@pytest.mark.parametrize("body", READ_BY, ids=lambda body: body.__name__)
def test_what_is_always_there_is_required_or_has_a_default(body: type) -> None:
    schema: Schema = READ_BY[body]()
    always = {name for name, field in schema.fields.items() if field.required or field.load_default}
    assert body.__required_keys__ <= always
