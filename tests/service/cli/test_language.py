"""The language of the surroundings."""

import pytest

from service.cli.language import spoken


@pytest.mark.parametrize(
    ("surroundings", "language"),
    [
        ({}, "en"),
        ({"LANG": "C.UTF-8"}, "en"),
        ({"LANG": "de_AT.UTF-8"}, "de"),
        ({"LANG": "de_AT.UTF-8", "LC_ALL": "en_GB.UTF-8"}, "en"),
        ({"LANG": "en_GB.UTF-8", "LC_MESSAGES": "de"}, "de"),
    ],
)
def test_the_first_that_is_set_says_it(
    surroundings: dict[str, str], language: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("LC_ALL", "LC_MESSAGES", "LANG"):
        monkeypatch.delenv(name, raising=False)
    for name, value in surroundings.items():
        monkeypatch.setenv(name, value)
    assert spoken() == language
