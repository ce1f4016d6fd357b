"""Contents go out into the object store and come back as they were, whenever somebody is interrupted."""

from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from sqlalchemy import Engine, select, text

from service.engine.ground.messages import message
from service.errors import SettingsWrong
from service.store.session import reading, writing
from service.store.tables import files, photos
from service.usecases.keeping import moving, sweeping
from service.usecases.keeping.moving import move
from tests.api import problem
from tests.kept import Kept
from tests.pictures import photo
from tests.said import said

pytestmark = [pytest.mark.one_database, pytest.mark.usefixtures("papers_plain")]

NEW = "01a213d1-0000-7000-8000-00000000000e"


def in_rows(database: Engine) -> int:
    """How many contents lie in rows."""
    with reading(database) as connection:
        rows = [select(table.c.content).where(table.c.content.is_not(None)) for table in (files, photos)]
        return sum(len(connection.execute(each).all()) for each in rows)


def test_everything_comes_back_and_goes_out_again_as_it_was(
    kept: Kept, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, keys = kept.read(), kept.store.held()
    assert len(keys) >= 3
    assert in_rows(kept.database) == 0
    moved = move(kept.database, back=True)
    assert (moved.count, moved.faults) == (len(keys), [])
    assert moved.size_bytes > 10_000
    assert (kept.store.held(), in_rows(kept.database)) == ([], len(keys))
    assert kept.read() == before
    assert kept.faults() == []
    # Interrupted where most is at stake: put, and not yet named. It goes on when it is called again.
    with monkeypatch.context() as patch:
        patch.setattr(moving.contents, "move", _killed)
        with pytest.raises(KeyboardInterrupt):
            move(kept.database)
    assert len(kept.store.held()) == 1
    assert kept.read() == before
    assert move(kept.database).count == len(keys)
    assert move(kept.database).count == 0
    assert in_rows(kept.database) == 0
    assert kept.read() == before
    assert kept.faults() == []
    later = datetime.now(UTC) + timedelta(days=2)
    assert sweeping.sweep_objects(kept.database, later) == 1
    assert len(kept.store.held()) == len(keys)
    assert kept.read() == before


def _killed(*_: Any, **__: Any) -> bool:
    raise KeyboardInterrupt


def test_what_was_erased_while_it_was_moved_leaves_nothing_outside(
    kept: Kept, monkeypatch: pytest.MonkeyPatch
) -> None:
    move(kept.database, back=True)
    monkeypatch.setattr(moving.contents, "move", lambda *_, **__: False)
    assert move(kept.database).count == 0
    assert kept.store.held() == []


def test_what_is_not_what_was_stored_stays_where_it_lies(kept: Kept) -> None:
    move(kept.database, back=True)
    altered, job_id = b"an altered content", kept.job["id"]
    with writing(kept.database) as connection:
        _without_guard(connection)
        mine = photos.c.job_id == UUID(job_id)
        connection.execute(photos.update().where(mine).values(content=altered))
    moved = move(kept.database)
    (fault,) = moved.faults
    assert "is not what was stored, and stays where it lies" in said(fault)
    assert in_rows(kept.database) == 1
    assert not [key for key in kept.store.held() if f"{job_id}/photo" in key]


def _without_guard(connection: Any) -> None:
    connection.execute(text("DROP TRIGGER photos_no_update"))


def test_a_lost_object_is_named_and_the_rest_comes_back(kept: Kept) -> None:
    lost = next(key for key in kept.store.held() if f"{kept.job['id']}/crew_sheet" in key)
    kept.store.opened().delete(lost)
    assert [each for each in kept.faults() if lost in each]
    refused = problem(kept.api.send("GET", kept.paths[1]), 503)
    assert lost in refused["detail"]
    moved = move(kept.database, back=True)
    assert moved.faults == [message("store.object_missing", key=lost)]
    assert kept.read()[0][0] == kept.read()[2][0] == 200


def test_there_is_nowhere_to_move_to_without_a_store(database: Engine) -> None:
    with pytest.raises(SettingsWrong):
        move(database)


def test_while_the_store_is_away_the_service_says_so_and_loses_nothing(kept: Kept) -> None:
    """What needs no content is answered; what does is asked for again, and a task is tried again."""
    before, held, faults = kept.read(), kept.store.held(), kept.faults()
    job = f"/v1/jobs/{kept.job['id']}"
    kept.store.stop()
    away = [problem(kept.api.send("GET", path), 503) for path in kept.paths]
    assert {each["code"] for each in away} == {"store.objects_away"}
    assert kept.api.send("GET", kept.photo).headers["Retry-After"] == "2"
    ready = kept.api.client.get("/readyz").json
    assert (ready["status"], ready["without"]["code"]) == ("ready", "store.objects_away")
    # Who has it already is told so without it.
    for path, (_, digest) in zip(kept.paths, before, strict=True):
        assert kept.api.send("GET", path, If_None_Match=f'"{digest}"').status_code == 304
    refused = kept.api.client.put(
        f"{job}/photos/{NEW}",
        data=photo(5),
        headers={"Authorization": f"Bearer {kept.api.key('installer')}", "Content-Type": "image/jpeg"},
    )
    assert problem(refused, 503)["code"] == "store.objects_away"
    assert len(kept.api.send("GET", f"{job}/photos").json["photos"]) == 1
    assert problem(kept.api.send("GET", f"{job}/archive"), 503)["code"] == "store.objects_away"
    # An offer is made, and its document waits for the store.
    offered = kept.api.quote()
    assert kept.api.send("POST", f"/v1/quotes/{offered['id']}/offer").status_code == 200
    assert kept.api.send("GET", f"/v1/quotes/{offered['id']}/document").status_code == 202
    kept.store.start()
    assert kept.api.client.get("/readyz").json == {"status": "ready"}
    assert kept.read() == before
    kept.api.wait(later=timedelta(minutes=1))
    assert kept.api.send("GET", f"/v1/quotes/{offered['id']}/document").status_code == 200
    assert len(kept.store.held()) == len(held) + 1
    assert kept.faults() == faults
