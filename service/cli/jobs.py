"""Commands for single buildings and jobs: takeoff, export, import."""

import json
import shutil
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from service.cli.opened import opened, operator_for
from service.cli.takeoff_table import takeoff_table
from service.cli.whole import written
from service.demo.fixtures import FIRM


@click.command()
@click.argument("building", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option(
    "--firm-folder",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    help="Whose materials and prices hold: a firm as files. The invented demo firm's when not given.",
)
@click.option("--firm", help="Whose materials and prices hold: a firm's code in the database.")
@click.option("--json", "as_json", is_flag=True, help="Print the short answer, as JSON.")
@click.option("--working", is_flag=True, help="Print everything, as JSON.")
def takeoff(building: Path, firm_folder: Path | None, firm: str | None, as_json: bool, working: bool) -> None:
    """Work out BUILDING, a file as it would be posted, and print a table.

    No database is needed, unless --firm names a firm of one.
    """
    from service.api.firm_files import read_building

    if firm and firm_folder:
        raise click.UsageError("A firm is named by --firm or by --firm-folder, not by both.")
    body = read_building(building)
    found = _by_database(firm, body, working) if firm else _by_files(firm_folder or FIRM, body, working)
    click.echo(json.dumps(found, indent=2) if as_json or working else takeoff_table(found))


def _by_files(folder: Path, body: Any, working: bool) -> Any:
    from service.api.firm_files import read_firm
    from service.settings import Settings
    from service.usecases.work import takeoffs

    firm, today = read_firm(folder), datetime.now(UTC).date()
    return takeoffs.of_files(Settings(), firm, body, today, working=working)


def _by_database(firm: str, body: Any, working: bool) -> Any:
    from service.usecases.work import takeoffs

    return takeoffs.create(operator_for(firm), body, working=working)


@click.command()
@click.argument("survey", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--firm", required=True, help="The firm's code in the database.")
def quote(survey: Path, firm: str) -> None:
    """Keep SURVEY, a spreadsheet (XLSX or CSV) or a body as it would be posted, as a firm's draft."""
    from service.api.firm_files import read_building
    from service.usecases.work import drafts

    drafted = drafts.create(operator_for(firm), read_building(survey))
    click.echo(takeoff_table(drafted["takeoff"]))
    click.echo(f"Draft {drafted['id']} for {drafted['reference']}.")


@click.command("export")
@click.argument("number")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--firm", required=True, help="The firm's code.")
def export_job(number: str, file: Path, firm: str) -> None:
    """Write everything of the job NUMBER into FILE, a ZIP file with a manifest of digests."""
    from service.usecases.keeping import archives

    operator = operator_for(firm)
    with (
        written(file) as partial,
        archives.of_number(operator, number) as archive,
        partial.open("wb") as target,
    ):
        shutil.copyfileobj(archive, target)
    click.echo(f"{number} is in {file}: its manifest names every member by its SHA-256.")


@click.command("import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
def import_job(file: Path) -> None:
    """Bring a job back from FILE, with its numbers, digests and documents; all of it or nothing."""
    from service.usecases.keeping import imports

    with file.open("rb") as archive:
        done = imports.restore(opened(), archive, datetime.now(UTC))
    click.echo(f"{done.job} of {done.firm} is here, from {done.members} members.")


COMMANDS = (takeoff, quote, export_job, import_job)
