"""Surveys as files: routes that take one in the place of JSON, and what is wrong with it at its cells."""

from collections.abc import Callable
from typing import Any, TypeVar

from flask import Request, current_app, g, request

from service.api.sheets import files
from service.api.sheets.csv_file import CSV
from service.api.sheets.rows import Read
from service.api.sheets.xlsx_file import XLSX
from service.engine.ground.messages import Message, message
from service.errors import Fault, InvalidInput

View = TypeVar("View", bound=Callable[..., Any])
CONTENT = {
    XLSX: {"schema": {"type": "string", "format": "binary"}},
    CSV: {"schema": {"type": "string"}},
}


def takes_survey(view: View) -> View:
    """Let a view that reads a building take it as a spreadsheet too."""
    view.takes = files.KINDS  # type: ignore[attr-defined]
    documented = getattr(view, "_apidoc", {})
    by_hand = documented.get("manual_doc", {})
    view._apidoc = {  # type: ignore[attr-defined]
        **documented,
        "manual_doc": {**by_hand, "requestBody": {"content": CONTENT}},
    }
    return view


def taken() -> tuple[str, ...]:
    """The media types of spreadsheets that this request's route takes."""
    view = current_app.view_functions[str(request.endpoint)]
    kinds: tuple[str, ...] = getattr(view, "takes", ())
    return kinds


def body_of(sent: Request) -> Any:
    """The body that a survey file stands for; its cells are kept for what is said of it."""
    g.survey = files.read(sent.get_data(cache=True), sent.mimetype)
    return g.survey.body


def located(error: InvalidInput, survey: Read | None = None) -> InvalidInput:
    """Faults of a body that came as a file, at the cells that its members came from."""
    survey = survey or g.get("survey")
    if survey is None:
        return error
    return InvalidInput(*(_at_cell(fault, survey) for fault in error.faults))


def _at_cell(fault: Fault, survey: Read) -> Fault:
    cell = _cell(fault.pointer, survey)
    if cell is None:
        return fault
    if not cell[1:2].isupper():
        # It came as JSON, from a member that stands elsewhere in the whole.
        return Fault(cell, fault.detail)
    assert isinstance(fault.detail, str | Message)
    return Fault(cell, message("sheets.at_cell", said=fault.detail, field=fault.pointer))


def _cell(pointer: str, survey: Read) -> str | None:
    """The cell of a member, or of what it lies in; None of what is in no sheet."""
    while pointer and pointer not in survey.cells:
        pointer = pointer.rpartition("/")[0]
    return survey.cells.get(pointer)
