"""A part as a certificate shows it."""

import copy

import pytest

from service.documents.papers.certified import as_it_is, certified
from service.documents.wording.formats import Units
from tests.service.documents import facts


def test_an_attics_coverage_is_what_took_fill(us_record: facts.Facts, record: facts.Facts) -> None:
    """16 CFR 460.17: half of its bays were met full, and are not on the receipt."""
    for told, whole_m2 in ((us_record, 809 * 0.09290304), (record, 80.0)):
        found = copy.deepcopy(told)
        (at,) = (place for place, each in enumerate(told["parts"]) if each["cavity"]["label"] == "A1")
        (attic,) = (each for each in found["as_found"] if each["cavity"] == "A1")
        attic |= {name: attic[name] / 2 for name in ("net_volume_m3", "net_area_m2")}
        areas = [as_it_is(each["parts"][at], each)["area_m2"] for each in (told, found)]
        assert areas == pytest.approx([whole_m2, whole_m2 / 2], rel=0.001)


def test_bags_are_those_that_were_counted_or_what_was_weighed_in_bags(record: facts.Facts) -> None:
    told = copy.deepcopy(record)
    part = told["parts"][0]
    part["found"] |= {"bags": 7.5, "mass_kg": 100.0}
    assert certified(part, told, Units("eu"))["bags"] == 7.5
    part["found"]["bags"] = None
    assert certified(part, told, Units("eu"))["bags"] == 100.0 / told["material"]["bag_kg"]
