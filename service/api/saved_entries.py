"""The file that a crew's page saves of what it could not send, checked as if it were posted."""

import base64
import binascii
from pathlib import Path
from typing import Any

from marshmallow import ValidationError

from schemas.entries import Batch
from schemas.saved import SavedEntries
from schemas.supplements import SupplementBody
from service.api.json_body import faults, read
from service.engine.ground.messages import message
from service.errors import Fault, InvalidInput


def read_saved(path: Path) -> Any:
    """Entries by job, and photos with their bytes; raises InvalidInput, naming the field."""
    saved = _loaded(SavedEntries(), read(path.read_bytes()))
    for place, photo in enumerate(saved["photos"]):
        try:
            photo["content"] = base64.b64decode(photo["content"], validate=True)
        except (binascii.Error, ValueError):
            said = message("entries.photo_not_base64")
            raise InvalidInput(Fault(f"/photos/{place}/content", said)) from None
    return saved


def read_entries(entries: list[Any]) -> Any:
    """A batch as it would be posted, checked; raises InvalidInput, naming the field."""
    return _loaded(Batch(), {"entries": entries})["entries"]


def read_proposals(proposals: list[Any]) -> Any:
    """Supplements as they would be posted, checked; raises InvalidInput, naming the field."""
    return [_loaded(SupplementBody(), each) for each in proposals]


def _loaded(schema: Any, value: Any) -> Any:
    try:
        return schema.load(value)
    except ValidationError as error:
        raise InvalidInput(*faults(error.messages)) from None
