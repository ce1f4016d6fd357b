"""The one transaction of a use case: who it acts for, that it is whole, that a key has its effect once."""

from dataclasses import replace
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from flask import Flask
from sqlalchemy import Connection, Engine

from service.errors import Erased, InvalidInput, Repeated
from service.store import answers, series
from service.store.session import reading, writing
from service.usecases.base.context import Context, Once, reads, refuse_repeated, writes
from service.usecases.firm import firms, keys
from tests.api import NOW
from tests.refusals import refused


@pytest.fixture
def context(app: Flask, database: Engine) -> Context:
    """Somebody of the demo firm."""
    key = keys.add(database, firm_code="demo", roles=["office"], label="trial", now=NOW)
    caller = keys.identify(database, key, NOW)
    return Context(
        database=app.extensions["database"], settings=app.extensions["settings"], caller=caller, now=NOW
    )


def once(context: Context, request: str = "a" * 64, key: str = "first") -> Context:
    mark = Once(key=key, request_sha256=request, shown=lambda answer: {"shown": answer})
    return replace(context, once=mark)


@writes
def taken(connection: Connection, context: Context, year: int, *, fails: bool = False) -> Any:
    """A number that is taken for good, unless it fails afterwards."""
    number = series.take(connection, firm_id=context.firm_id, kind="quote", year=year)
    if fails:
        raise InvalidInput
    return {"number": number, "at": context.now}


@reads
def seen(connection: Connection, context: Context) -> Any:
    return series.last_taken(connection, firm_id=context.firm_id, kind="quote")


def test_what_a_use_case_returns_is_plain_json(context: Context) -> None:
    assert taken(context, 2001) == {"number": 1, "at": "2026-11-25T08:00:00Z"}
    assert seen(context)[2001] == 1


def test_what_fails_has_no_effect(context: Context) -> None:
    with pytest.raises(InvalidInput):
        taken(context, 2002, fails=True)
    assert 2002 not in seen(context)


def test_a_key_has_its_effect_once_and_its_answer_again(context: Context) -> None:
    first = taken(once(context), 2003)
    with pytest.raises(Repeated) as raised:
        taken(once(context), 2003)
    assert raised.value.answer == {"shown": first}
    assert seen(context)[2003] == 1


def test_a_failure_leaves_the_key_free(context: Context) -> None:
    with pytest.raises(InvalidInput):
        taken(once(context), 2004, fails=True)
    assert taken(once(context), 2004)["number"] == 1


def test_a_key_is_not_for_another_request(context: Context) -> None:
    taken(once(context), 2005)
    with refused(InvalidInput, "for another request"):
        taken(once(context, request="b" * 64), 2005)


def test_a_key_is_new_again_when_its_days_are_over(context: Context) -> None:
    taken(once(context), 2006)
    later = NOW + timedelta(days=context.settings.idempotency_days, seconds=1)
    assert taken(once(replace(context, now=later)), 2006)["number"] == 2


def test_an_answer_that_was_erased_is_not_made_again(context: Context, database: Engine) -> None:
    taken(once(context), 2007)
    with writing(database) as connection:
        answers.forget(connection, ["2026-11-25T08:00:00Z"])
    with pytest.raises(Erased):
        taken(once(context), 2007)


def test_what_takes_long_can_ask_before_whether_it_was_done(context: Context) -> None:
    with reading(context.database, firm_id=context.firm_id) as connection:
        refuse_repeated(connection, context)
        refuse_repeated(connection, once(context))
    taken(once(context), 2008)
    with reading(context.database, firm_id=context.firm_id) as connection, pytest.raises(Repeated):
        refuse_repeated(connection, once(context))


def test_acting_for_a_firm_needs_no_key_and_has_no_mark(context: Context, database: Engine) -> None:
    other = once(context).acting_for(firms.id_of(database, "other"), "operator")
    assert other.once is None
    assert taken(other, 2009)["number"] == 1
    assert 2009 not in seen(context)


def test_nobody_has_no_firm(context: Context) -> None:
    nobody = replace(context, caller=None)
    assert nobody.sees is None
    with pytest.raises(RuntimeError):
        taken(nobody, 2010)
    assert uuid4() != context.firm_id
