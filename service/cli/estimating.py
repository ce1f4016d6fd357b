"""The command that estimates a building from what was told on the telephone."""

import json
import re
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from service.cli.opened import operator_for
from service.cli.takeoff_table import aligned
from service.demo.fixtures import FIRM
from service.errors import Fault, InvalidInput

NUMBER = r"([0-9]+(?:\.[0-9]+)?)"
TOLD = re.compile(
    rf"(wall|floor|roof slope|attic) +{NUMBER} *(m2|ft2) +{NUMBER} *(mm|cm|in)(?: +R-?{NUMBER})?"
)
# To square metres and to millimetres: the foot and the inch are exact (NIST SP 811, B.8).
UNITS = {"m2": 1.0, "ft2": 0.09290304, "mm": 1.0, "cm": 10.0, "in": 25.4}
HEAD = ("part", "element", "m2", "mm", "kg", "hours")


@click.command()
@click.argument("parts", nargs=-1, required=True)
@click.option(
    "--firm-folder",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    help="Whose usual framing and prices hold: a firm as files. The invented demo firm's when not given.",
)
@click.option("--firm", help="Whose usual framing and prices hold: a firm's code in the database.")
@click.option("--practice", help="Code of the practice profile; the firm's usual one when not given.")
@click.option("--material", help="Code of the material; the firm's usual one when not given.")
@click.option("--currency", help="Currency of the prices; the firm's own when not given.")
@click.option("--travel-km", type=float, help="Distance to the site.")
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
def estimate(parts: tuple[str, ...], as_json: bool, firm: str | None, **options: Any) -> None:
    """Estimate PARTS, each of them like "wall 120 m2 360 mm": the area less windows and doors.

    An element is a wall, floor, roof slope or attic; areas are in m2 or ft2, depths in mm, cm or in,
    with a decimal point. An attic may name the row of its label chart: "attic 1200 ft2 14 in R-49"; in the
    US market it has to.

    It is no offer: ranges say what a survey is likely to find.
    """
    folder = options.pop("firm_folder")
    if firm and folder:
        raise click.UsageError("A firm is named by --firm or by --firm-folder, not by both.")
    said = {name: value for name, value in options.items() if value is not None}
    body = {**said, "parts": [_told(index, part) for index, part in enumerate(parts)]}
    found = _by_database(firm, body) if firm else _by_files(folder or FIRM, body)
    click.echo(json.dumps(found, indent=2) if as_json else _table(found))


def _told(index: int, text: str) -> dict[str, Any]:
    """A part as it would be posted; raises InvalidInput where it is written otherwise."""
    told = TOLD.fullmatch(text.strip())
    if told is None:
        raise InvalidInput(Fault(f"/parts/{index}", f'Say it like "wall 120 m2 360 mm", not "{text}".'))
    element, area, square, depth, length, row = told.groups()
    part = {
        "element": element.replace(" ", "_"),
        "area_m2": float(area) * UNITS[square],
        "depth_mm": float(depth) * UNITS[length],
    }
    return part if row is None else part | {"label_r": float(row)}


def _by_files(folder: Path, body: Any) -> Any:
    from service.api.firm_files import read_estimate, read_firm
    from service.usecases.work import estimates

    return estimates.of_files(read_firm(folder), read_estimate(body), datetime.now(UTC).date())


def _by_database(firm: str, body: Any) -> Any:
    from service.api.firm_files import read_estimate
    from service.usecases.work import estimates

    return estimates.create(operator_for(firm), read_estimate(body))


def _table(found: Any) -> str:
    rows = [HEAD, *(_row(part) for part in found["parts"])]
    whole = [f"{_range(found['mass_kg'], 0)} kg in {_range(found['bags'], 0)} bags"]
    whole += [f"{_range(found['crew_hours'], 1)} crew hours"]
    total = found["total"]
    whole += [f"{total['least']} to {total['most']} {total['currency']} with tax, {total['usual']} as a rule"]
    said = [part["rests_on"]["text"] for part in found["parts"]]
    needs = [each["text"] for each in found["needs"]]
    return "\n".join([aligned(rows), "", *whole, "", *dict.fromkeys(said), *needs])


def _row(part: Any) -> tuple[str, ...]:
    return (
        part["label"],
        part["element"],
        f"{part['area_m2']:.1f}",
        f"{part['depth_mm']:.0f}",
        _range(part["mass_kg"], 0),
        _range(part["hours"], 1),
    )


def _range(between: Any, places: int) -> str:
    return f"{between['least']:.{places}f} to {between['most']:.{places}f}"


COMMANDS = (estimate,)
