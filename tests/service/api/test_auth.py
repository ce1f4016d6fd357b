"""Who calls: one key in one header, in force, in a role that may."""

import pytest

from tests.api import Api, problem

PATH = "/v1/materials"


@pytest.mark.parametrize("sent", ["", "Bearer", "Bearer ", "Basic {key}", "{key}", "Bearer bw_00000000_x"])
def test_without_a_key_in_force_nothing_is_told(api: Api, sent: str) -> None:
    key = api.key("office")
    answer = api.client.get(PATH, headers={"Authorization": sent.format(key=key)} if sent else {})
    assert problem(answer, 401)
    assert answer.headers["WWW-Authenticate"] == "Bearer"
    assert key not in answer.text


@pytest.mark.parametrize("scheme", ["Bearer", "bearer", "BEARER"])
def test_the_scheme_is_known_in_any_case(api: Api, scheme: str) -> None:
    """RFC 9110, 11.1: an authentication scheme's name is case-insensitive."""
    answer = api.client.get(PATH, headers={"Authorization": f"{scheme} {api.key('office')}"})
    assert answer.status_code == 200


def test_another_role_is_told_which_ones_may(api: Api) -> None:
    body = {"in_force_from": "2026-01-01"}
    refused = problem(api.send("PUT", f"{PATH}/X", body, role="installer"), 403)
    assert "office" in refused["detail"]


def test_a_key_with_several_roles_may_what_each_may(api: Api) -> None:
    headers = {"Authorization": f"Bearer {api.key('installer', 'office')}"}
    assert api.client.get(PATH, headers=headers).status_code == 200
