"""The kinds of documents, each with what makes and stores it: what a worker calls for a task of that kind."""

from collections.abc import Callable, Mapping
from uuid import UUID

from service.usecases.base.context import Context
from service.usecases.work import certificate_files, jobs, quote_papers, supplement_papers

MAKERS: Mapping[str, Callable[[Context, UUID], object]] = {
    "quote": quote_papers.pdf,
    "crew_sheet": jobs.sheet,
    "certificate": certificate_files.pdf,
    "supplement": supplement_papers.pdf,
}
