"""What was typed and could not be recorded, kept as a file that `baywright entries add` posts."""

import base64
import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from schemas.saved import FORMAT
from service.cli.asking import Picture, Told
from service.cli.terminal import Terminal
from service.cli.whole import written
from service.engine.ground.messages import message


@contextmanager
def kept(told: Told, job_id: str, file: Path, terminal: Terminal) -> Iterator[None]:
    """Write what was said until then to `file` when the block is broken off, by a refusal or by somebody.

    Each of it has its id already: what was recorded before is not recorded twice.
    """
    try:
        yield
    except BaseException:
        if told.entries or told.proposals or told.photos:
            with written(file) as partial:
                text = json.dumps(_saved(told, job_id), indent=2, ensure_ascii=False)
                partial.write_text(text, encoding="utf-8")
            terminal.say(message("tally.kept", file=str(file)))
        raise


def _saved(told: Told, job_id: str) -> dict[str, Any]:
    return {
        "format": FORMAT,
        "jobs": {job_id: told.entries} if told.entries else {},
        "supplements": {job_id: told.proposals} if told.proposals else {},
        "photos": [_photo(each, job_id) for each in told.photos],
    }


def _photo(picture: Picture, job_id: str) -> dict[str, Any]:
    content = base64.b64encode(picture.path.read_bytes()).decode()
    said = {"cavity": picture.cavity, "caption": picture.caption}
    stated = {name: value for name, value in said.items() if value is not None}
    return {"job": job_id, "id": picture.id, **stated, "content": content}
