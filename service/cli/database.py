"""Commands for whoever keeps the database: settings, migrate, backup, check, sweep, tasks, objects."""

import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from service.cli.opened import opened
from service.settings import described, from_environment

if TYPE_CHECKING:
    from service.usecases.keeping.content_checks import Share


@click.command()
def settings() -> None:
    """List every setting with its present value and meaning; secrets are masked."""
    rows = described(from_environment())
    width = max(len(variable) for variable, _, _ in rows)
    for variable, value, meaning in rows:
        click.echo(f"{variable:<{width}}  {value}\n{'':<{width}}  {meaning}\n")


@click.command()
def migrate() -> None:
    """Create the schema, or upgrade it to this version."""
    from service.store import migrate as migrations
    from service.store.session import address

    settings = from_environment()
    migrations.upgrade(settings.operator_url, serving=address(settings.database_url).username)
    click.echo(f"The schema is at {migrations.newest()}.")


@click.command()
def sweep() -> None:
    """Delete answers kept for BAYWRIGHT_IDEMPOTENCY_DAYS, and objects that nothing has named for a day."""
    from service.usecases.keeping import sweeping

    database, now = opened(), datetime.now(UTC)
    deleted = sweeping.sweep(database, from_environment(), now)
    click.echo(f"{deleted} answers deleted.")
    if from_environment().objects_url:
        click.echo(f"{sweeping.sweep_objects(database, now)} objects deleted.")


@click.group()
def objects() -> None:
    """Documents and photos outside the database, in the bucket that BAYWRIGHT_OBJECTS_URL names."""


@objects.command()
@click.option("--back", is_flag=True, help="From the object store into the database.")
def move(back: bool) -> None:
    """Move every document and photo from the database into the object store, while the service goes on.

    What was interrupted goes on when it is called again. Exit status 1 when something could not be moved.
    """
    from service.documents.wording.sentences import in_words
    from service.usecases.keeping import moving

    moved = moving.move(opened(), back=back)
    for fault in moved.faults:
        click.echo(in_words(fault), err=True)
    click.echo(f"{moved.count} moved, {moved.size_bytes} bytes; {len(moved.faults)} left where they are.")
    sys.exit(1 if moved.faults else 0)


@click.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
def backup(file: Path) -> None:
    """Write a backup to FILE while the service goes on: everything that was stored up to now."""
    from service.store.backup import back_up

    back_up(from_environment().operator_url, file)
    click.echo(f"{file} holds everything that was stored before.")


def _share(_context: click.Context, _option: click.Parameter, said: str) -> "Share":
    from service.usecases.keeping.content_checks import Share

    part, slash, parts = said.partition("/")
    if not (slash and part.isdecimal() and parts.isdecimal() and 1 <= int(part) <= int(parts)):
        raise click.BadParameter("It is a part of so many, from 1 on: 3/30, say.")
    return Share(part=int(part), parts=int(parts))


@click.command()
@click.option(
    "--anchor",
    "held",
    multiple=True,
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="What `baywright anchor` wrote and somebody kept elsewhere; may repeat.",
)
@click.option(
    "--objects",
    "share",
    metavar="PART/PARTS",
    callback=_share,
    default="1/1",
    help="Of the objects in the bucket read this part only, of so many: 3/30, say. All by default.",
)
def check(held: tuple[Path, ...], share: "Share") -> None:
    """Verify every record of the database; exit status 1 when something is wrong.

    It prints where each firm's chain of certificates ends: kept elsewhere, that finds out whoever
    makes the database anew, digests included.
    """
    from service.documents.wording.sentences import in_words
    from service.usecases.keeping import anchors, checks

    report = checks.verify(
        opened(reads=True), [anchors.read(each.read_bytes()) for each in held], share=share
    )
    for fault in report.faults:
        click.echo(in_words(fault), err=True)
    for anchor in report.heads:
        click.echo(
            f"{anchor.firm}: {anchor.head.count} certificates, the chain ends with {anchor.head.sha256}."
        )
    contents = report.contents
    if contents.objects:
        part = f"part {share.part} of {share.parts}" if share.parts > 1 else "all of them"
        click.echo(f"{contents.objects_read} of {contents.objects} objects in the bucket read: {part}.")
    click.echo(
        f"{report.quotes} quotes, {report.certificates} certificates, {contents.files} files checked; "
        f"{len(report.faults)} faults."
    )
    sys.exit(1 if report.faults else 0)


@click.command()
@click.option("--retry", is_flag=True, help="Let what was given up begin anew.")
def tasks(retry: bool) -> None:
    """List what waits to be done after requests, documents above all, and what was given up and why."""
    from service.documents.wording.sentences import in_words
    from service.usecases.keeping import tasks as kept

    database, now = opened(), datetime.now(UTC)
    if retry:
        click.echo(f"{kept.revived(database, now)} tasks begin anew.")
    for each in kept.given_up(database):
        click.echo(f"{each['kind']} of {each['subject_id']}: {in_words(each['last_error'])}", err=True)
    for of in kept.figures(database, now):
        click.echo(
            f"{of.kind}: {of.waiting} waiting, the oldest for {of.oldest_seconds:.0f} s; {of.dead} given up; "
            f"{of.done} done, {of.failed} failed in {of.seconds:.0f} s."
        )


COMMANDS = (settings, migrate, backup, check, sweep, tasks, objects)
