"""A quote as a file is the same when it is read again: both kinds, both marks, both of the demo's houses."""

import copy
from typing import Any

import pytest

from schemas.quotes import QuoteBody
from service.api.sheets import files
from service.api.sheets.csv_file import CSV
from service.api.sheets.xlsx_file import XLSX
from service.usecases.base.json import to_json
from tests.pointers import demo
from tests.schemas.test_cavities import GABLE


def as_posted(body: Any) -> Any:
    """A body as it is read; a list of nothing is as good as none."""
    plain = to_json(QuoteBody().load(copy.deepcopy(body)))
    plain["cavities"] = [
        {name: value for name, value in each.items() if value != []} for each in plain["cavities"]
    ]
    return plain


def hostile() -> Any:
    """A house whose texts would be formulas, with a gable that has everything a survey may have."""
    body = demo("building.json")
    body["client"]["name"], body["reference"] = "=HYPERLINK(1)", "'+1"
    body["cavities"].append({**GABLE, "label": "-G"})
    return body


@pytest.mark.parametrize("mark", ["point", "comma"])
@pytest.mark.parametrize("kind", [CSV, XLSX])
@pytest.mark.parametrize("body", [hostile(), demo("building-us.json")], ids=["eu", "us"])
def test_export_then_import_is_identity(body: Any, kind: str, mark: str) -> None:
    posted = as_posted(body)
    assert as_posted(files.read(files.written(posted, kind, mark), kind).body) == posted


@pytest.mark.parametrize("kind", [CSV, XLSX])
def test_a_template_has_heads_that_are_read_and_nothing_else(kind: str) -> None:
    read = files.read(files.template(kind), kind)
    assert read.body == {"cavities": []}
    assert read.cells["/reference"].startswith("/Quote/B")
