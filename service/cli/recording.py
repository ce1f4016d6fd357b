"""What is recorded at a desk: a file that a phone saved, or a day without phones, typed in the evening.

Whoever records does so by a key of the firm, as over the network: `BAYWRIGHT_KEY` in the environment.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any
from uuid import UUID

import click

from service.cli.language import option
from service.cli.opened import opened
from service.errors import InvalidInput
from service.settings import from_environment

if TYPE_CHECKING:
    from service.cli.asking import Told
    from service.cli.terminal import Terminal
    from service.engine.ground.messages import Message
    from service.usecases.base.context import Context

MAY = {"installer", "office"}
KEY = click.option(
    "--key", envvar="BAYWRIGHT_KEY", required=True, help="Key of who records; better by BAYWRIGHT_KEY."
)


@click.group("entries")
def entries_group() -> None:
    """Record what phones could not send."""


@entries_group.command("add")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@KEY
def entries_add(file: Path, key: str) -> None:
    """Post FILE, which a crew's page saved; what had arrived before is not doubled."""
    from service.api.saved_entries import read_saved
    from service.documents.wording.sentences import in_words

    saved = read_saved(file)
    context = _by(key)
    for job_id, proposed in saved["supplements"].items():
        click.echo(in_words(_propose(context, job_id, proposed, job=str(job_id))))
    for job_id, entries in saved["jobs"].items():
        click.echo(in_words(_post(context, job_id, entries, job=str(job_id))))
    for photo in saved["photos"]:
        _put(context, photo)
    if saved["photos"]:
        click.echo(f"{len(saved['photos'])} photos.")


@click.command()
@click.argument("number")
@KEY
@option("Of the questions.")
@click.option("--part", "parts", multiple=True, help="Ask for this part alone; may repeat.")
def tally(number: str, key: str, language: str, parts: tuple[str, ...]) -> None:
    """Ask for what was done on the job NUMBER, in the order of the crew's sheet, and record it.

    What nobody planned is proposed to the office, before what was recorded.
    """
    from service.cli.asking import Told, ask, only
    from service.cli.kept import kept
    from service.cli.terminal import Terminal
    from service.engine.ground.messages import message
    from service.usecases.work import jobs

    context, terminal = _by(key), Terminal(language)
    # What a use case returns is plain JSON, but for workings, which stay deflated until they are read.
    job_id = UUID(str(jobs.id_of(context, number)))
    job = jobs.working(context, job_id, None)
    taken = job["takeoff"]
    job = {**job, "takeoff": {**taken, "cavities": [each.plain for each in taken["cavities"]]}}
    _check_parts(parts, [each["label"] for each in job["cavities"]])
    told, file = Told(), Path(f"{number}-{context.now:%Y%m%dT%H%M%S}.json")
    with kept(told, str(job_id), file, terminal):
        ask(only(job, parts) if parts else job, terminal, told)
        if terminal.yes(message("tally.record", count=len(told.entries))):
            _record(context, number, job_id, told, terminal)


def _check_parts(named: tuple[str, ...], known: list[str]) -> None:
    """Raise UsageError for a part that the job does not have: nothing would be asked of it."""
    for part in named:
        if part not in known:
            raise click.UsageError(f"There is no part {part}. One of these: {', '.join(known)}")


def _record(context: Context, number: str, job_id: UUID, told: Told, terminal: Terminal) -> None:
    """Propose, record and keep what was said, when all of it can be read."""
    from service.api.saved_entries import read_entries, read_proposals
    from service.engine.ground.messages import message

    proposed = read_proposals(told.proposals)
    entries = read_entries(told.entries) if told.entries else []
    if proposed:
        terminal.say(_propose(context, job_id, proposed, job=number))
        terminal.say(message("tally.planned_now", number=number))
    if entries:
        terminal.say(_post(context, job_id, entries, job=number))
    for photo in told.photos:
        sent = {"id": UUID(photo.id), "content": photo.path.read_bytes()}
        _put(context, {**sent, "job": job_id, "cavity": photo.cavity, "caption": photo.caption})
    terminal.say(message("tally.photos_kept", count=len(told.photos)))


def _by(key: str) -> Context:
    """The surroundings of what the holder of a key asks for; raises NotAllowed where he may not record."""
    from service.engine.ground.messages import message
    from service.errors import NotAllowed
    from service.usecases.base.context import Context
    from service.usecases.firm import keys

    database, now = opened(), datetime.now(UTC)
    caller = keys.identify(database, key.strip(), now)
    if not caller.roles & MAY:
        raise NotAllowed(message("api.needs_role", roles=tuple(sorted(MAY))))
    return Context(database=database, settings=from_environment(), caller=caller, now=now)


def _post(context: Context, job_id: Any, said: list[Any], *, job: str) -> Message:
    """Record entries in batches of the size that the service takes; tells how many were new."""
    from service.engine.ground.messages import message
    from service.usecases.work import entries

    known = {each["id"] for each in entries.listed(context, job_id)["entries"]}
    most = context.settings.entry_limit
    for start in range(0, len(said), most):
        with _pointing(f"/jobs/{job_id}", start):
            entries.add(context, job_id, said[start : start + most])
    before = sum(str(each["id"]) in known for each in said)
    return message("tally.recorded", job=job, count=len(said), known=before)


@contextmanager
def _pointing(place: str, start: int) -> Iterator[None]:
    """A refusal of a batch points at where the entry is among all that a file says of a job."""
    try:
        yield
    except InvalidInput as error:
        raise InvalidInput(
            *(replace(fault, pointer=_pointer(fault.pointer, place, start)) for fault in error.faults)
        ) from None


def _pointer(pointer: str, place: str, start: int) -> str:
    return re.sub(r"^/entries/(\d+)", lambda found: f"{place}/{start + int(found[1])}", pointer)


def _propose(context: Context, job_id: Any, proposed: list[Any], *, job: str) -> Message:
    """Propose supplements before what was recorded of their parts; each is one, however often it is sent."""
    from service.engine.ground.messages import message
    from service.usecases.work import supplements

    numbers = [supplements.propose(context, job_id, each)["number"] for each in proposed]
    return message("tally.proposed", job=job, numbers=tuple(numbers))


def _put(context: Context, photo: Any) -> None:
    from service.usecases.work import photos
    from service.usecases.work.images import kind_of

    # What is neither a JPEG nor a PNG is refused as either.
    kind = kind_of(photo["content"]) or "image/jpeg"
    sent = {name: value for name, value in photo.items() if name != "job"}
    photos.put(context, photo["job"], photos.Sent(media_type=kind, **sent))


COMMANDS = (entries_group, tally)
