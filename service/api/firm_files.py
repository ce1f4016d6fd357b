"""A firm as files: `firm.json`, `lances.json`, and a folder for each kind that has versions."""

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from marshmallow import Schema, ValidationError

from schemas.build_ups import NamedBuildUp
from schemas.estimates import EstimateBody
from schemas.firms import Firm
from schemas.keys import KeyBody
from schemas.lances import NamedLance
from schemas.materials import NamedMaterial
from schemas.practice import PracticeBody
from schemas.price_lists import PriceListBody
from schemas.quotes import QuoteBody
from service.api.json_body import faults, read
from service.api.sheets import files
from service.api.survey_files import located
from service.engine.ground.messages import message
from service.errors import Fault, InvalidInput, Malformed


def read_firm(folder: Path) -> Mapping[str, Any]:
    """Everything in the folder, checked as if it were posted; raises InvalidInput, naming file and field."""
    firm = _one(Firm(), folder / "firm.json")
    return {
        "code": firm["code"],
        "data": firm,
        "materials": list(_each(NamedMaterial(), folder / "materials")),
        "build_ups": list(_each(NamedBuildUp(), folder / "build-ups")),
        "price_lists": list(_each(PriceListBody(), folder / "price-lists")),
        "practices": list(_each(PracticeBody(), folder / "practice")),
        "lances": _one(NamedLance(many=True), folder / "lances.json"),
    }


def read_building(path: Path) -> Any:
    """A building as it would be posted, or as a spreadsheet; raises InvalidInput, naming file and field."""
    kind = files.SUFFIXES.get(path.suffix.lower())
    return _survey(path, kind) if kind else _one(QuoteBody(), path)


def _survey(path: Path, kind: str) -> Any:
    survey = files.read(path.read_bytes(), kind)
    try:
        return QuoteBody().load(survey.body)
    except ValidationError as error:
        raise located(InvalidInput(*faults(error.messages)), survey) from None


def read_estimate(body: Any) -> Any:
    """What was told of a building, as it would be posted; raises InvalidInput, naming the field."""
    return _said(EstimateBody(), body)


def read_key(body: Any) -> Any:
    """A key to be made, as it would be posted; raises InvalidInput, naming the field."""
    return _said(KeyBody(), body)


def _said(schema: Schema, body: Any) -> Any:
    try:
        return schema.load(body)
    except ValidationError as error:
        raise InvalidInput(*faults(error.messages)) from None


def _each(schema: Schema, folder: Path) -> Iterator[Any]:
    for path in sorted(folder.glob("*.json")):
        yield _one(schema, path)


def _one(schema: Schema, path: Path) -> Any:
    if not path.is_file():
        raise InvalidInput(Fault(path.name, message("api.file_missing")))
    try:
        return schema.load(read(path.read_bytes()))
    except Malformed as error:
        raise InvalidInput(Fault(path.name, error.detail)) from None
    except ValidationError as error:
        raise InvalidInput(
            *(Fault(f"{path.name}#{f.pointer}", f.detail) for f in faults(error.messages))
        ) from None
