"""A file is verified and an anchor written from the command line."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from service.cli.main import main
from service.documents.pdf import signing
from service.usecases.keeping import anchors
from tests import authority
from tests.commands import baywright
from tests.signing import PASSWORD
from tests.verifiable import certificate

UNCHECKED = 3


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A signed certificate, the same altered, and whom its reader trusts."""
    folder = tmp_path_factory.mktemp("files")
    with authority.running() as found:
        key = signing.read_key(found.key_file, name="x", password=PASSWORD, now=found.now)
        signed = signing.signed(certificate(), key, found.timestamps)
        (folder / "demo.p12").write_bytes(found.key_file)
        (folder / "trusted.pem").write_bytes(found.root_pem)
    (folder / "good.pdf").write_bytes(signed)
    (folder / "bad.pdf").write_bytes(signed + b"\n% more")
    return folder


def test_what_holds_is_said_and_what_was_not_checked(tmp_path: Path, files: Path) -> None:
    """There is no database here, and none is made."""
    words = ["verify", str(files / "good.pdf"), "--trust", str(files / "trusted.pem")]
    said = baywright(tmp_path, *words, code=UNCHECKED, whole=True)
    assert "✓ It is signed by Specimen firm" in said
    assert "✓ Specimen timestamps confirms that it was there" in said
    assert "? Its place in the chain of its firm was not checked" in said
    assert "✗" not in said
    assert "UTC UTC" not in said
    assert list(tmp_path.iterdir()) == []


def test_it_is_said_in_german_too(tmp_path: Path, files: Path) -> None:
    words = ["verify", str(files / "good.pdf"), "--language", "de"]
    said = baywright(tmp_path, *words, code=UNCHECKED, whole=True)
    assert "✓ Sie ist von Specimen firm signiert" in said
    assert "UTC UTC" not in said


def test_what_is_no_certificate_is_said_in_german_too(tmp_path: Path) -> None:
    (tmp_path / "notes.pdf").write_text("no certificate")
    words = ("verify", str(tmp_path / "notes.pdf"))
    assert "no PDF" in baywright(tmp_path, *words, code=1)
    assert "kein PDF" in baywright(tmp_path, *words, code=1, lang="de_AT.UTF-8")
    assert "no PDF" in baywright(tmp_path, *words, "--language", "en", code=1, lang="de_AT.UTF-8")


def test_a_terminal_without_a_letter_for_a_mark_is_told_all_the_same(files: Path) -> None:
    altered = str(files / "bad.pdf")
    done = CliRunner(charset="latin-1").invoke(main, ["verify", altered, "--language", "de"])
    assert done.exit_code == 1, done.exception
    assert "\\u2717 " in done.output


def test_what_is_wrong_is_said_by_the_exit_status(tmp_path: Path, files: Path) -> None:
    assert "✗ It was changed" in baywright(tmp_path, "verify", str(files / "bad.pdf"), code=1, whole=True)
    said = baywright(tmp_path, "verify", str(files / "trusted.pem"), code=1)
    assert said == "This is no PDF, or it is damaged.\n"


def test_an_anchor_is_written_once_and_signed_by_the_firm(home: Path, files: Path, tmp_path: Path) -> None:
    folder = tmp_path / "keys"
    folder.mkdir()
    (folder / "demo.p12").write_bytes((files / "demo.p12").read_bytes())
    settings = {"signing_folder": str(folder), "signing_password": PASSWORD}
    first, second = tmp_path / "first.json", tmp_path / "second.json"
    said = baywright(home, "anchor", "--firm", "demo", "--digests", str(first), **settings)
    assert "0 certificates, signed." in said
    assert "is there already" in baywright(home, "anchor", "--firm", "demo", str(first), code=1, **settings)
    assert anchors.read(first.read_bytes()).signature
    said = baywright(home, "anchor", "--firm", "demo", "--since", str(first), str(second))
    assert "not signed: the firm has no signing key" in said
    assert anchors.read(second.read_bytes()).since == anchors.BEGINNING


def test_of_several_firms_one_is_named(home: Path, tmp_path: Path) -> None:
    path = str(tmp_path / "anchor.json")
    assert "Several firms are here (demo, other)" in baywright(home, "anchor", path, code=1)
    assert "no firm nobody" in baywright(home, "anchor", "--firm", "nobody", path, code=1)


def test_every_firm_has_its_anchor_in_a_new_folder(home: Path, tmp_path: Path) -> None:
    folder = tmp_path / "anchors"
    said = baywright(home, "anchor", "--every", str(folder))
    assert said.count("0 certificates, not signed") == 2
    assert {path.name: anchors.read(path.read_bytes()).firm for path in folder.iterdir()} == {
        "demo.json": "demo",
        "other.json": "other",
    }
    assert "is there already" in baywright(home, "anchor", "--every", str(folder), code=1)
    asked = ("anchor", "--every", "--firm", "demo", str(tmp_path / "more"))
    assert "neither --firm nor --since" in baywright(home, *asked, code=2)
