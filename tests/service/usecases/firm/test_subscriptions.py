"""A subscription that goes while something is told of does not make an error of what is told."""

import threading
from collections.abc import Callable
from uuid import uuid4

import pytest
from flask import Flask
from sqlalchemy import Engine

from service.engine.ground.vocabulary import EventKind
from service.settings import Settings
from service.store.session import writing
from service.usecases.base.context import Context
from service.usecases.base.events import EventData, tell
from service.usecases.firm import firms, subscriptions
from service.usecases.firm.subscriptions import Wanted
from tests.api import NOW

WANTED = Wanted(url="https://sales.example/", events=(EventKind.QUOTE_OFFERED,))


@pytest.fixture(scope="module")
def database_url(new_postgres: Callable[[], str]) -> str:
    """Only there can two write at once."""
    return new_postgres()


@pytest.mark.parametrize("goes_first", [True, False])
def test_who_comes_second_waits(
    app: Flask, database: Engine, settings: Settings, *, goes_first: bool
) -> None:
    service: Engine = app.extensions["database"]
    nobody = Context(database=service, settings=settings, caller=None, now=NOW)
    firm_id = firms.id_of(database, "demo")
    context = nobody.acting_for(firm_id, "a test")
    subscriptions.put(context, "sales", WANTED)
    failed: list[BaseException] = []

    def tells() -> None:
        quote_id = uuid4()
        with writing(service, firm_id=firm_id) as connection:
            told = EventData(state="offered", quote_id=quote_id)
            tell(connection, context, EventKind.QUOTE_OFFERED, quote_id, told)

    def ends() -> None:
        subscriptions.remove(context, "sales")

    def guarded(act: Callable[[], None]) -> None:
        try:
            act()
        except BaseException as error:  # noqa: BLE001 - whatever it was is looked at
            failed.append(error)

    first, second = (ends, tells) if goes_first else (tells, ends)
    threads = [threading.Thread(target=guarded, args=(act,)) for act in (first, second)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(20)
    assert failed == []
    assert subscriptions.listed(context) == {"items": []}
