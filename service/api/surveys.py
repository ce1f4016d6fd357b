"""Surveys as spreadsheets: the template of one, and a quote as the file that it can be read from again."""

from typing import Any
from uuid import UUID

from flask import request

from schemas.exports import FileQuery, SurveyQuery
from service.api.auth import context
from service.api.blueprint import Blueprint, needs
from service.api.conditional import attached
from service.api.sheets import files
from service.api.sheets.xlsx_file import XLSX
from service.api.survey_files import CONTENT
from service.usecases.work import quotes

blp = Blueprint(
    "surveys", __name__, url_prefix="/v1", description="Surveys as spreadsheets, by Accept XLSX or CSV."
)
FILE = {"200": {"description": "The file.", "content": CONTENT}}
ENDINGS = {kind: ending for ending, kind in files.SUFFIXES.items()}


def _kind() -> str:
    """Which of the two was asked for."""
    return request.accept_mimetypes.best_match(files.KINDS, XLSX)


@blp.route("/survey-template", methods=["GET"])
@blp.doc(responses=FILE)
@needs("sales", "office")
@blp.arguments(FileQuery, location="query")
@blp.response(200)
def template(query: dict[str, Any]) -> Any:
    """An empty file to fill in and to post as a quote."""
    kind = _kind()
    return attached(files.template(kind, query["decimal_mark"]), kind, f"survey{ENDINGS[kind]}")


@blp.route("/quotes/<uuid:quote_id>/survey", methods=["GET"])
@blp.doc(responses=FILE)
@needs("sales", "office")
@blp.arguments(SurveyQuery, location="query")
@blp.response(200)
def survey(query: dict[str, Any], quote_id: UUID) -> Any:
    """A quote's head and cavities as a file: posted, it is the same quote again.

    Options are not in it: a quote that is changed by such a file has none.
    """
    kind, quote = _kind(), quotes.working(context(), quote_id)
    return attached(files.written(quote, kind, query["decimal_mark"]), kind, f"survey{ENDINGS[kind]}")
