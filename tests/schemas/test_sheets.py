"""Sheets hold what can be posted: between them every member of a quote, and none twice."""

from schemas.cavities import CavityBody
from schemas.quotes import QuoteBody
from schemas.sheets import BuildUpSheet, HeadSheet, SurveySheet


def test_sheets_have_the_members_of_what_is_posted() -> None:
    assert HeadSheet().fields.keys() | {"cavities"} == QuoteBody().fields.keys()
    assert SurveySheet().fields.keys() - {"area_m2"} == CavityBody().fields.keys()
    assert BuildUpSheet().fields.keys() == {"code", "layers", "inside", "outside"}
