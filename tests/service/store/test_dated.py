"""Dated rows: the version in force is picked by the day that is asked for."""

from datetime import date

import pytest
from sqlalchemy import Engine, select

from service.store import dated
from service.store.session import reading, writing
from service.store.tables import firms
from tests.api import NOW


def test_the_latest_version_begun_is_in_force(settings: object, database: Engine) -> None:
    with writing(database) as connection:
        firm_id = connection.execute(select(firms.c.id)).scalars().first()
        for day, text in (
            (date(2026, 3, 1), "spring"),
            (date(2026, 9, 1), "autumn"),
            (date(2026, 9, 1), "new"),
        ):
            dated.add(
                connection,
                "lances",
                firm_id=firm_id,
                code="T",
                in_force_from=day,
                data={"text": text},
                now=NOW,
            )

    def on(*day: int) -> str | None:
        with reading(database) as connection:
            row = dated.in_force(connection, "lances", firm_id=firm_id, code="T", on=date(*day))
        return row and row["data"]["text"]

    assert on(2026, 2, 28) is None
    assert on(2026, 3, 1) == "spring"
    assert on(2026, 8, 31) == "spring"
    assert on(2026, 9, 1) == "new"


@pytest.mark.parametrize("kind", sorted(dated.TABLES))
def test_the_demo_firm_has_each_kind(settings: object, database: Engine, kind: str) -> None:
    with reading(database) as connection:
        firm_id = connection.execute(select(firms.c.id)).scalars().first()
        assert dated.all_in_force(connection, kind, firm_id=firm_id, on=date(2026, 11, 25))
