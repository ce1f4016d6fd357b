"""The command that makes a survey to fill in of a building model."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from service.cli.building_model import CATEGORIES, read
from service.cli.opened import operator_for
from service.demo.fixtures import FIRM
from service.errors import Conflict, Fault, InvalidInput


@click.command()
@click.argument("model", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option(
    "--firm-folder",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    help="Whose usual framing holds: a firm as files. The invented demo firm's when not given.",
)
@click.option("--firm", help="Whose usual framing holds: a firm's code in the database.")
@click.option("--practice", help="Code of the practice profile; the firm's usual one when not given.")
@click.option(
    "--category",
    "categories",
    multiple=True,
    default=CATEGORIES,
    help="What the model calls the layers that are blown; may repeat.",
)
def survey(model: Path, file: Path, categories: tuple[str, ...], firm: str | None, **options: Any) -> None:
    """Write FILE, a survey (XLSX or CSV) to fill in, of the walls, floors and roofs of MODEL (IFC).

    Areas and depths are the model's, everything else is as the firm usually finds it: each cavity
    is estimated and has to be surveyed before it is offered. What could not be read is listed.
    """
    if firm and options["firm_folder"]:
        raise click.UsageError("A firm is named by --firm or by --firm-folder, not by both.")
    if file.exists():
        raise Conflict(f"{file} is there already: nothing was written.")
    found = read(model, categories)
    for each in found["unread"]:
        click.echo(f"Not read: {each['label']}: {each['why']}.")
    if not found["parts"]:
        raise InvalidInput(Fault(model.name, "Nothing of it can be read: no survey was written."))
    file.write_bytes(_survey(found["parts"], file, firm, options))
    click.echo(f"{len(found['parts'])} parts: {file}. Fill in the head, and survey each of them.")


def _survey(parts: list[Any], file: Path, firm: str | None, options: dict[str, Any]) -> bytes:
    from service.api.firm_files import read_estimate, read_firm
    from service.api.sheets import files
    from service.usecases.work import estimates

    kind = files.SUFFIXES.get(file.suffix.lower())
    if kind is None:
        raise click.UsageError("FILE ends with .xlsx or .csv.")
    practice = {"practice": options["practice"]} if options["practice"] else {}
    body = read_estimate({**practice, "parts": parts})
    if firm:
        return files.to_fill_in(estimates.presumed_for(operator_for(firm), body), kind)
    folder, today = read_firm(options["firm_folder"] or FIRM), datetime.now(UTC).date()
    return files.to_fill_in(estimates.presumed_of_files(folder, body, today), kind)


COMMANDS = (survey,)
