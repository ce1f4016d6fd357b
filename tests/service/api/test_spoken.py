"""Answers in the language that is asked for: the sentences alone change."""

from typing import Any

import pytest

from tests.api import Api, problem, small_building


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database is enough: words do not depend on it."""
    return sqlite_url


@pytest.fixture
def job(api: Api) -> Any:
    return api.job(small_building())


def without_words(plain: Any) -> Any:
    if isinstance(plain, list):
        return [without_words(each) for each in plain]
    if not isinstance(plain, dict):
        return plain
    hidden = {"text", "detail"} if "values" in plain else set()
    return {name: without_words(value) for name, value in plain.items() if name not in hidden}


def test_conditions_are_told_in_german_and_nothing_else_changes(api: Api, job: Any) -> None:
    path = f"/v1/jobs/{job['id']}/assessment"
    english, german = (
        api.send("GET", path),
        api.send("GET", path, Accept_Language="de-AT, de;q=0.8, en;q=0.5"),
    )
    assert german.headers["Content-Language"] == "de"
    assert "Accept-Language" in german.headers["Vary"]
    label = job["cavities"][0]["label"]
    assert german.json["unmet"][0]["detail"]["text"] == f"Für {label} ist keine Füllung erfasst."
    assert english.json["unmet"][0]["detail"]["text"] == f"No fill is on record for {label}."
    assert without_words(german.json) == without_words(english.json)


def test_a_problem_is_told_in_german(api: Api, job: Any) -> None:
    wrong = {"kind": "note", "id": job["id"], "happened_at": "2026-11-25T08:00:00Z", "by": "Crew 1"}
    path = f"/v1/jobs/{job['id']}/entries"

    def detail(language: str) -> Any:
        body, key = {"entries": [wrong]}, f"key {language}"
        answer = api.send("POST", path, body, role="installer", Idempotency_Key=key, Accept_Language=language)
        return problem(answer, 422)["errors"][0]

    english, german = detail("en"), detail("de")
    assert english["detail"] != german["detail"]
    assert without_words(english) == without_words(german)


@pytest.mark.parametrize(
    "language",
    ["de", "de-AT", "DE-at", "de-AT, en;q=0.5", "en;q=0.5, de-CH", "fr, de-DE-1996;q=0.9, en;q=0.8"],
)
def test_the_german_of_a_country_comes_before_what_is_asked_for_after_it(
    api: Api, job: Any, language: str
) -> None:
    """RFC 4647, 3.4: "de-AT" is shortened to "de" before "en" is looked at."""
    answer = api.send("GET", f"/v1/jobs/{job['id']}/assessment", Accept_Language=language)
    assert answer.headers["Content-Language"] == "de"


@pytest.mark.parametrize("language", ["", "fr", "en-GB", "*", "x;q=nonsense", "de;q=0"])
def test_any_other_language_is_answered_in_english(api: Api, job: Any, language: str) -> None:
    answer = api.send("GET", f"/v1/jobs/{job['id']}/assessment", Accept_Language=language)
    assert answer.json["unmet"][0]["detail"]["text"].startswith("No fill")


def test_what_is_no_json_passes_as_it_is(api: Api) -> None:
    assert api.client.get("/crew/", headers={"Accept-Language": "de"}).data == api.client.get("/crew/").data
