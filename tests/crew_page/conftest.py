"""A browser, the service at a port, and phones of a crew."""

from collections.abc import Iterator
from typing import Any

import pytest
from flask import Flask
from playwright.sync_api import Browser

from tests.api import Api, small_building
from tests.browser import chromium, serving
from tests.phones import Phone, assign, crew_of, phone, today


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database is enough: a phone does not know where its answers come from."""
    return sqlite_url


@pytest.fixture(scope="module")
def port(app: Flask) -> Iterator[int]:
    with serving(app) as port:
        yield port


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One browser for the module."""
    with chromium() as browser:
        yield browser


@pytest.fixture(scope="module")
def in_hand(browser: Browser, port: int, app: Flask) -> Iterator[tuple[Phone, Any]]:
    """A phone of a module's own crew, which goes from job to job with it."""
    api = Api(app)
    job = api.job(small_building())
    crew = crew_of(api, job, f"Crew of {job['number']}", today())
    with phone(browser, port, job) as made:
        made.start(crew)
        yield made, crew


@pytest.fixture
def english(in_hand: tuple[Phone, Any], api: Api) -> Phone:
    """The phone at a job of the test's own: to open the page anew costs more than most tests do."""
    one, crew = in_hand
    one.job = api.job(small_building())
    assign(api, one.job, crew, today())
    one.context.set_offline(False)
    one.show("")
    one.page.evaluate("dispatchEvent(new Event('online'))")
    one.follow(one.at())
    return one
