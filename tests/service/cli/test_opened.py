"""The operator's database: seen to be of this version, with every firm's rows."""

from pathlib import Path

import pytest

from service.cli.opened import opened
from service.errors import SettingsWrong
from service.store.session import reading
from service.usecases.firm import firms


def test_it_is_of_this_version_or_refused(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(home))
    database = opened()
    with reading(database):
        assert firms.id_of(database, "demo") != firms.id_of(database, "other")
    database.dispose()
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    with pytest.raises(SettingsWrong, match="baywright migrate"):
        opened()
