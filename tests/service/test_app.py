"""The application joins every module of routes, and takes a request through all that guards it."""

import pkgutil
from collections import Counter

import pytest
from flask import Flask

from service import api as package
from service.app import BLUEPRINTS, create_app
from service.settings import Settings


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: nothing is asked of it."""
    return sqlite_url


def test_every_module_with_routes_is_joined() -> None:
    names = {each.name for each in pkgutil.iter_modules(package.__path__)}
    modules = {name: __import__(f"service.api.{name}", fromlist=["blp"]) for name in names}
    with_routes = {name for name, module in modules.items() if hasattr(module, "blp")}
    joined = {name for name in with_routes if modules[name].blp in BLUEPRINTS}
    # Pages for people are no part of the document.
    assert with_routes - joined == {"crew_page", "docs"}


def test_every_address_is_answered_by_one_view(app: Flask) -> None:
    answered = Counter(
        (rule.rule, method)
        for rule in app.url_map.iter_rules()
        for method in rule.methods or ()
        if method not in ("HEAD", "OPTIONS")
    )
    assert len(answered) > 30
    assert [each for each, times in answered.items() if times > 1] == []


@pytest.mark.parametrize("path", ["//v1/quotes", "/v1//quotes", "/v1/quotes/", "/static/x"])
def test_an_address_with_a_slash_too_many_is_another_address(app: Flask, path: str) -> None:
    answer = app.test_client().get(path)
    assert answer.status_code == 404
    assert answer.content_type == "application/problem+json"


def test_a_body_has_its_limit(settings: Settings) -> None:
    app = create_app(settings)
    assert app.config["MAX_CONTENT_LENGTH"] == settings.body_limit_bytes
    app.extensions["database"].dispose()
