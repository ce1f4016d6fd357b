"""A firm's data and keys from the command line."""

from datetime import UTC, datetime
from pathlib import Path

from service.store.session import writing
from service.usecases.firm import firms, keys
from tests.api import operated
from tests.commands import DEMO, baywright
from tests.stored import crew


def test_a_firm_is_loaded_once(tmp_path: Path) -> None:
    baywright(tmp_path, "migrate")
    assert " 0 new" not in baywright(tmp_path, "load", DEMO)
    assert "demo: 0 new" in baywright(tmp_path, "load", DEMO)


def test_a_key_is_printed_once_and_alone(home: Path) -> None:
    key = baywright(home, "keys", "add", "--firm", "demo", "--role", "sales", "--role", "office").strip()
    assert "\n" not in key
    listed = baywright(home, "keys", "list")
    prefix = key.split("_")[1]
    assert prefix in listed
    assert key not in listed
    baywright(home, "keys", "revoke", prefix)
    assert "revoked" in baywright(home, "keys", "list")
    assert "No key" in baywright(home, "keys", "revoke", prefix, code=1)


def test_a_key_is_for_a_firm_that_there_is(home: Path) -> None:
    assert "no firm nobody" in baywright(home, "keys", "add", "--firm", "nobody", "--role", "sales", code=1)


def test_whose_key_it_is_is_said_in_a_line_that_can_be_printed(home: Path) -> None:
    """A signatory signs by it."""
    add = ("keys", "add", "--firm", "demo", "--role", "signatory", "--label")
    for label in ("x" * 81, "one line\nand another", " "):
        assert "/label" in baywright(home, *add, label, code=1)


def test_a_key_is_rotated_at_once_or_with_a_grace(home: Path) -> None:
    def state_of(prefix: str) -> str:
        return next(line for line in baywright(home, "keys", "list").splitlines() if line.startswith(prefix))

    first = baywright(home, "keys", "add", "--firm", "demo", "--role", "sales").strip()
    second = baywright(home, "keys", "rotate", first.split("_")[1], "--grace", "24").strip()
    assert "Another key" in baywright(home, "keys", "rotate", first.split("_")[1], code=1)
    third = baywright(home, "keys", "rotate", second.split("_")[1]).strip()
    states = [state_of(key.split("_")[1]) for key in (first, second, third)]
    assert ["in force" in state for state in states] == [True, False, True]
    assert all("sales" in state and "used never" in state for state in states)
    assert "No key in force" in baywright(home, "keys", "rotate", second.split("_")[1], code=1)


def test_a_crew_s_key_is_the_crew_s_still_when_it_is_rotated(home: Path) -> None:
    """Without its crew it would see every job of the firm."""
    with operated(f"sqlite:///{home}/baywright/baywright.sqlite3") as database:
        firm_id, now = firms.id_of(database, "demo"), datetime.now(UTC)
        with writing(database) as connection:
            crew_id = crew(connection, firm_id)
            first = keys.made(
                connection, firm_id=firm_id, roles=["crew"], label="North", now=now, crew_id=crew_id
            )
        second = baywright(home, "keys", "rotate", first.split("_")[1]).strip()
        assert keys.identify(database, second, now).crew_id == crew_id


def test_a_signing_key_to_try_out_and_a_server_that_refuses_a_wrong_one(home: Path, tmp_path: Path) -> None:
    signing = {"signing_folder": str(tmp_path), "signing_password": "for the tests only"}
    assert "nobody but itself vouches" in baywright(home, "signing-key", "demo", **signing)
    assert "stays as it is" in baywright(home, "signing-key", "demo", code=1, **signing)
    assert "for the tests only" not in baywright(home, "settings", **signing)
    signing["signing_password"] = "another one"
    said = baywright(home, "serve", "--port", "0", code=1, **signing)
    assert "Signing key demo.p12 is no PKCS#12 file that the signing password opens." in said
