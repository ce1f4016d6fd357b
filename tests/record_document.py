"""The OpenAPI document on file, so that a change in it is seen: `docker/dev document` writes it anew."""

import hashlib
import json
from pathlib import Path
from typing import Any

from service.app import create_app
from service.settings import Settings

ROOT = Path(__file__).parents[1]
FILE = ROOT / "tests" / "contract" / "openapi.json"
CHANGES = ROOT / "docker" / "API.md"


def document() -> str:
    """The document as it is kept: in one order, and without its examples, which have a file of their own."""
    app = create_app(Settings(database_url="sqlite://", secret_key="for the document alone"))
    kept = _without_examples(app.extensions["openapi"].to_dict())
    return json.dumps(kept, ensure_ascii=False, indent=1, sort_keys=True) + "\n"


def digest(text: str) -> str:
    """What the first entry of the changes names."""
    return hashlib.sha256(text.encode()).hexdigest()


def _without_examples(said: Any) -> Any:
    match said:
        case dict():
            return {name: _without_examples(value) for name, value in said.items() if name != "example"}
        case list():
            return [_without_examples(each) for each in said]
    return said


if __name__ == "__main__":
    text = document()
    FILE.write_text(text, encoding="utf-8")
    changes = CHANGES.relative_to(ROOT)
    print(f"Written. Say in {changes} what changes for whom, under this digest:\n{digest(text)}")
