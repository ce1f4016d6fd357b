"""The demo firm and its building lie where they are said to, and can be read."""

from service.api.firm_files import read_building, read_firm
from service.demo.fixtures import BUILDING, FIRM


def test_the_firm_has_what_its_building_asks_for() -> None:
    firm, building = read_firm(FIRM), read_building(BUILDING)
    assert building["material"] in {sheet["code"] for sheet in firm["materials"]}
    assert building["practice"] in {profile["code"] for profile in firm["practices"]}
    assert building["currency"] in {prices["currency"] for prices in firm["price_lists"]}
