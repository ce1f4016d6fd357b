"""A browser, the service at a port, and phones of a crew."""

from collections.abc import Iterator

import pytest
from flask import Flask
from playwright.sync_api import Browser

from tests.api import Api, small_building
from tests.browser import chromium, serving
from tests.phones import Phone, crew_of, phone, today


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


@pytest.fixture
def english(browser: Browser, port: int, api: Api) -> Iterator[Phone]:
    """A phone at a job of its own."""
    job = api.job(small_building())
    with phone(browser, port, job) as made:
        made.start(crew_of(api, job, f"Crew of {job['number']}", today()))
        yield made
