"""A firm is taken as it stands at the head of its documents."""

from typing import Any

import pytest

from schemas.firms import Firm
from tests.pointers import demo, refused, refused_without

BODY = demo("firm.json")


def test_the_demo_firm_is_taken_as_it_is() -> None:
    assert Firm().load(BODY) == BODY


def test_each_member_that_is_needed_is_missed_by_its_name() -> None:
    missed = refused_without(Firm(), BODY)
    assert missed == {name: {f"/{name}"} for name in ("address", "code", "email", "name", "phone")}


@pytest.mark.parametrize("code", ["a", "1a", "Demo", "de-mo", "demo\n", "../demo", "d" * 21, ""])
def test_a_code_is_fit_for_numbers_and_the_name_of_a_file(code: str) -> None:
    assert refused(Firm(), {**BODY, "code": code}) == {"/code"}


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("name", "Two\nlines"),
        ("name", " "),
        ("address", "x" * 401),
        ("email", "nobody"),
        ("currency", "Euro"),
        ("phone", "0" * 81),
        ("time_zone", "../Vienna"),
        ("timestamp_url", "ftp://stamps.example"),
        ("timestamp_url", "https://user@stamps.example/"),
        ("timestamp_url", "https://stamps.example/?key=1"),
        ("timestamp_url", "https://stamps.example/\n"),
        ("timestamp_url", "https://" + "x" * 200),
        ("website", "https://firm.example"),
    ],
)
def test_what_cannot_be_printed_is_refused_by_its_field(name: str, value: Any) -> None:
    assert refused(Firm(), {**BODY, name: value}) == {f"/{name}"}


def test_an_address_has_lines_and_no_currency_need_be_said() -> None:
    body = {name: value for name, value in BODY.items() if name != "currency"}
    assert refused(Firm(), {**body, "address": "4 Yard Lane\nTown"}) == set()
