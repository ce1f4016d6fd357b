"""What a command writes is whole, or not there."""

from pathlib import Path

import pytest

from service.cli.whole import written
from service.errors import Conflict


def test_a_file_has_its_name_when_it_is_whole_and_is_never_replaced(tmp_path: Path) -> None:
    file = tmp_path / "a.zip"
    with written(file) as target:
        target.write_bytes(b"half")
        assert not file.exists()
    assert file.read_bytes() == b"half"
    with pytest.raises(Conflict, match=r"a\.zip is there already"), written(file):
        pass
    assert [path.name for path in tmp_path.iterdir()] == ["a.zip"]


@pytest.mark.parametrize("broken_off_by", [KeyboardInterrupt, OSError])
def test_of_what_is_broken_off_nothing_stays(tmp_path: Path, broken_off_by: type[BaseException]) -> None:
    with pytest.raises(broken_off_by):
        _begin(tmp_path / "anchors", broken_off_by)
    assert list(tmp_path.iterdir()) == []


def _begin(folder: Path, broken_off_by: type[BaseException]) -> None:
    with written(folder) as target:
        target.mkdir()
        (target / "demo.json").write_bytes(b"{")
        raise broken_off_by
