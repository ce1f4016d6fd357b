"""The OpenAPI document is a file here: who changes the API sees it in the diff, and says it to its users."""

import re

from tests.record_document import CHANGES, FILE, digest, document


def test_the_document_on_file_is_the_one_that_is_served() -> None:
    """Else: `docker/dev document`, and read the diff."""
    assert FILE.read_text(encoding="utf-8") == document()


def test_the_newest_entry_of_the_changes_is_of_this_document() -> None:
    entries = re.findall(r"^## .+\n\nDocument: `([0-9a-f]{64})`", CHANGES.read_text(encoding="utf-8"), re.M)
    assert entries[0] == digest(FILE.read_text(encoding="utf-8"))
    assert len(entries) == len(set(entries))
