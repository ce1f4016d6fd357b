"""A quote is made in a language in which the firm has all of its words."""

from dataclasses import replace

import pytest

from service.errors import InvalidInput
from service.usecases.firm.own_texts import refuse_missing
from tests.api import Api, problem, small_building
from tests.builders import material, practice, price_list
from tests.said import said


def test_every_text_that_is_missing_is_named_once() -> None:
    with pytest.raises(InvalidInput) as refused:
        refuse_missing(language="de", practice=practice(), material=material(), price_list=price_list())
    (fault,) = refused.value.faults
    assert fault.pointer == "/language"
    assert said(fault.detail) == (
        "The firm has no words in this language (de) for: "
        "timber_moisture, old_wiring, recessed_luminaires, CF-STD, SCAFFOLD."
    )


def test_what_has_no_text_at_all_lacks_none() -> None:
    ours = replace(practice(), hold_points=())
    sheet, prices = replace(material(), hazards=()), replace(price_list(), extras=())
    refuse_missing(language="de", practice=ours, material=sheet, price_list=prices)


def test_a_quote_in_a_language_that_the_firm_lacks_is_refused(api: Api) -> None:
    listed = api.send("GET", "/v1/practice", role="office").json["items"]
    mine = next(each for each in listed if each["code"] == "eu")
    english = {name: value for name, value in mine.items() if name not in ("id", "created_at")}
    for point in english["hold_points"]:
        point["text"] = {"en": point["text"]["en"]}
    assert api.send("POST", "/v1/practice", english, role="office").status_code == 201
    answer = api.send("POST", "/v1/quotes", small_building(language="de"), role="sales")
    assert [each["pointer"] for each in problem(answer, 422)["errors"]] == ["/language"]
    assert api.send("POST", "/v1/quotes", small_building(language="en"), role="sales").status_code == 201
