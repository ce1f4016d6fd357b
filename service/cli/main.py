"""The command line. `baywright --help` lists what there is."""

import json
import shutil
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, NoReturn

import click
from sqlalchemy import Engine

from service.api.firm_files import read_building, read_firm
from service.cli.takeoff_table import takeoff_table
from service.demo import demo as demonstration
from service.documents.wording.sentences import in_words
from service.engine.ground.messages import Message
from service.errors import BaywrightError, Conflict, InvalidInput, Sayable
from service.serve.server import serve as run_server
from service.settings import described, from_environment
from service.store import migrate as migrations
from service.store.backup import back_up
from service.store.session import open_database
from service.usecases.base.context import Context
from service.usecases.firm import firms, keys, signing_keys
from service.usecases.keeping import archives, checks, imports, sweeping
from service.usecases.work import takeoffs


class Commands(click.Group):
    """Commands that end with a sentence instead of a trace when something is wrong."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; an error of ours becomes a sentence on stderr and exit status 1."""
        try:
            return super().invoke(ctx)
        except InvalidInput as error:
            _fail("\n".join(f"{fault.pointer or '/'}: {_said(fault.detail)}" for fault in error.faults))
        except BaywrightError as error:
            _fail(_said(error.detail))


def _said(detail: str | Sayable) -> str:
    return in_words(detail) if isinstance(detail, Message) else str(detail)


def _fail(text: str) -> NoReturn:
    click.echo(text, err=True)
    sys.exit(1)


def _database() -> Engine:
    return open_database(from_environment().database_url, operator=True)


@click.group(cls=Commands)
def main() -> None:
    """Plans, prices, records and certifies loose-fill cellulose insulation."""


@main.command()
def settings() -> None:
    """List every setting with its present value and meaning; secrets are masked."""
    rows = described(from_environment())
    width = max(len(variable) for variable, _, _ in rows)
    for variable, value, meaning in rows:
        click.echo(f"{variable:<{width}}  {value}\n{'':<{width}}  {meaning}\n")


@main.command()
def migrate() -> None:
    """Create the schema, or upgrade it to this version."""
    migrations.upgrade(from_environment().database_url)
    click.echo(f"The schema is at {migrations.newest()}.")


@main.command()
@click.argument("folder", type=click.Path(exists=True, file_okay=False, path_type=Path))
def load(folder: Path) -> None:
    """Load a firm with its materials, price lists, lances and practice from FOLDER."""
    firm = read_firm(folder)
    added = firms.load(_database(), firm, datetime.now(UTC))
    click.echo(f"{firm['code']}: {added} new versions.")


@main.group("keys")
def keys_group() -> None:
    """Make, list, rotate and revoke access keys."""


@keys_group.command("add")
@click.option("--firm", required=True, help="The firm's code.")
@click.option("--role", "roles", multiple=True, required=True, type=click.Choice(keys.ROLES))
@click.option("--label", default="", help="Whose key it is.")
def keys_add(firm: str, roles: tuple[str, ...], label: str) -> None:
    """Make a key and print it, this once, alone on a line."""
    whose = label or "/".join(roles)
    click.echo(keys.add(_database(), firm_code=firm, roles=list(roles), label=whose, now=datetime.now(UTC)))


@keys_group.command("list")
def keys_list() -> None:
    """List the keys by their prefixes."""
    now = datetime.now(UTC)
    for row in keys.every(_database()):
        state = "in force" if keys.in_force(row, now) else "revoked"
        used = f"{row['last_used_at']:%Y-%m-%d %H:%M}" if row["last_used_at"] else "never"
        click.echo(
            f"{row['prefix']}  {row['firm']:<12}  {state:<8}  used {used:<16}  "
            f"{','.join(row['roles'])}  {row['label']}"
        )


@keys_group.command("rotate")
@click.argument("prefix")
@click.option("--grace", default=0, show_default=True, type=click.IntRange(0, 720), help="Hours.")
def keys_rotate(prefix: str, grace: int) -> None:
    """Make a key in the place of the one with this PREFIX, and print it alone on a line.

    The old key ends at once, or after so many hours of grace.
    """
    click.echo(keys.rotate(_database(), prefix=prefix, grace=timedelta(hours=grace), now=datetime.now(UTC)))


@keys_group.command("revoke")
@click.argument("prefix")
def keys_revoke(prefix: str) -> None:
    """Revoke the key with this PREFIX."""
    keys.revoke(_database(), prefix=prefix, now=datetime.now(UTC))
    click.echo(f"{prefix} is revoked.")


@main.command("signing-key")
@click.argument("firm")
def signing_key(firm: str) -> None:
    """Make a signing key for FIRM, to try signing out.

    Nobody but itself vouches for such a key, and PDF readers say so. Keys for real
    certificates come from a certification authority.
    """
    path = signing_keys.make_trial(_database(), from_environment(), firm, datetime.now(UTC))
    click.echo(f"{path} is for trying out: nobody but itself vouches for it.")


@main.command()
@click.option("--host", default="127.0.0.1", show_default=True)
@click.option("--port", default=8000, show_default=True)
@click.option("--workers", default=2, show_default=True)
def serve(host: str, port: int, workers: int) -> None:
    """Serve the API."""
    run_server(from_environment(), host=host, port=port, workers=workers)


@main.command()
@click.argument("building", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--firm", default="demo", show_default=True, help="Whose materials and prices hold.")
@click.option("--json", "as_json", is_flag=True, help="Print everything, as JSON.")
def takeoff(building: Path, firm: str, as_json: bool) -> None:
    """Work out BUILDING, a file as it would be posted, and print a table."""
    database = _database()
    body = read_building(building)
    context = Context(database=database, settings=from_environment(), caller=None, now=datetime.now(UTC))
    found = takeoffs.create(context.acting_for(firms.id_of(database, firm), "operator"), body)
    click.echo(json.dumps(found, indent=2) if as_json else takeoff_table(found))


@main.command()
@click.option("--serve", "stay", is_flag=True, help="Leave the server running.")
@click.option("--port", default=8000, show_default=True)
@click.option("--out", default="out", show_default=True, type=click.Path(file_okay=False, path_type=Path))
def demo(stay: bool, port: int, out: Path) -> None:
    """Play the whole path through HTTP: a quote, its acceptance, a day on site, a certificate."""
    demonstration.play(out=out, port=port, stay=stay)


@main.command("export")
@click.argument("number")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--firm", required=True, help="The firm's code.")
def export_job(number: str, file: Path, firm: str) -> None:
    """Write everything of the job NUMBER into FILE, a ZIP file with a manifest of digests."""
    database = _database()
    context = Context(database=database, settings=from_environment(), caller=None, now=datetime.now(UTC))
    if file.exists():
        raise Conflict(f"{file} is there already: nothing was written.")
    operator = context.acting_for(firms.id_of(database, firm), "operator")
    with archives.of_number(operator, number) as archive, file.open("xb") as target:
        shutil.copyfileobj(archive, target)
    click.echo(f"{number} is in {file}: its manifest names every member by its SHA-256.")


@main.command("import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
def import_job(file: Path) -> None:
    """Bring a job back from FILE, with its numbers, digests and documents; all of it or nothing."""
    with file.open("rb") as archive:
        done = imports.restore(_database(), archive, datetime.now(UTC))
    click.echo(f"{done.job} of {done.firm} is here, from {done.members} members.")


@main.command()
def sweep() -> None:
    """Delete answers that were kept for BAYWRIGHT_IDEMPOTENCY_DAYS; every write does a little of it."""
    deleted = sweeping.sweep(_database(), from_environment(), datetime.now(UTC))
    click.echo(f"{deleted} answers deleted.")


@main.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
def backup(file: Path) -> None:
    """Write a backup to FILE while the service goes on: everything that was stored up to now."""
    back_up(from_environment().database_url, file)
    click.echo(f"{file} holds everything that was stored before.")


@main.command()
def check() -> None:
    """Verify every record of the database; exit status 1 when something is wrong."""
    report = checks.verify(_database())
    for line in report.faults:
        click.echo(line, err=True)
    click.echo(
        f"{report.quotes} quotes, {report.certificates} certificates, {report.files} files checked; "
        f"{len(report.faults)} faults."
    )
    sys.exit(1 if report.faults else 0)


if __name__ == "__main__":
    main()
