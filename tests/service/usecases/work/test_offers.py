"""An offer has its number and its last day; a draft that was withdrawn has neither."""

from datetime import date

from tests.api import Api, problem, small_building


def test_an_offer_holds_as_long_as_was_said(api: Api) -> None:
    path = f"/v1/quotes/{api.quote(small_building(valid_days=10))['id']}"
    offer = api.send("POST", f"{path}/offer", role="sales").json
    held = date.fromisoformat(offer["valid_until"]) - date.fromisoformat(offer["offered_at"][:10])
    assert held.days == 10
    problem(api.send("POST", f"{path}/offer", role="sales"), 409)


def test_a_draft_that_was_withdrawn_gets_no_number(api: Api) -> None:
    path = f"/v1/quotes/{api.quote()['id']}"
    problem(api.send("POST", f"{path}/withdrawal", role="sales", If_Match='"7"'), 412)
    withdrawn = api.send("POST", f"{path}/withdrawal", role="sales").json
    assert (withdrawn["state"], withdrawn["number"]) == ("withdrawn", None)
    problem(api.send("POST", f"{path}/offer", role="sales"), 409)
