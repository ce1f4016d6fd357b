"""The documentation page: everything it shows comes from here."""

import re

from tests.api import Api


def test_it_is_there_and_may_load_from_here_alone(api: Api) -> None:
    answer = api.client.get("/docs/")
    assert answer.status_code == 200
    assert answer.headers["Content-Security-Policy"].startswith("default-src 'self';")
    addresses = re.findall(r"(?:src|href)=[\"']([^\"']+)", answer.text)
    assert addresses
    assert [each for each in addresses if each.startswith(("http:", "https:", "//"))] == []


def test_other_pages_keep_the_stricter_policy(api: Api) -> None:
    assert "default-src 'none'" in api.client.get("/healthz").headers["Content-Security-Policy"]


def test_the_bare_address_leads_to_it(api: Api) -> None:
    answer = api.client.get("/")
    assert (answer.status_code, answer.headers["Location"]) == (302, "/docs/")
