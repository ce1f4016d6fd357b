"""The record of a certificate: everything that it says, as plain JSON."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, RowMapping

from service.engine import ledger
from service.store import entries
from service.usecases.assessments import Assessed, deviation_of
from service.usecases.plain import plain
from service.usecases.quotes import facts_of

FORMAT = "baywright-certificate-1"
RECORDED = ("recorded_at", "recorded_by")


def record_of(
    connection: Connection,
    *,
    job: RowMapping,
    firm: RowMapping,
    found: Assessed,
    number: str,
    issued_at: datetime,
    signed_by: str,
    supersedes: str | None,
    verify_url: str,
) -> dict[str, Any]:
    """Everything that the certificate says; its file is made from this alone."""
    facts = facts_of(connection, found.plan.quote)
    takeoff = facts.pop("takeoff")
    surveyed = facts.pop("cavities")
    corrections = sum(row["kind"] == "correction" for row in entries.of_job(connection, job["id"]))
    return {
        **facts,
        "format": FORMAT,
        "number": number,
        "quote_number": facts["number"],
        "job_number": job["number"],
        "issued_at": issued_at,
        "signed_by": signed_by,
        "firm": firm["data"],
        "engine": takeoff["engine"],
        "parts": [
            {"cavity": cavity, "planned": planned, "found": plain(finding)}
            for cavity, planned, finding in zip(
                surveyed, takeoff["cavities"], found.assessment.cavities, strict=True
            )
        ],
        "penetrations": _penetrations(found.ledger),
        "hold_points": _hold_points(found),
        "deviations": [deviation_of(row) for row in found.deviations],
        "air_tests": [plain(test) for test in found.ledger.air_tests],
        "stock": plain(found.assessment.stock),
        "corrections": corrections,
        "supersedes": supersedes,
        "verify_url": verify_url,
    }


def _penetrations(recorded: ledger.Ledger) -> list[dict[str, Any]]:
    patches = {patch.tag: plain(patch) for patch in ledger.in_order(recorded.patches)}
    return [
        {**plain(hole), "patch": patches.get(hole.tag)} for hole in ledger.in_order(recorded.penetrations)
    ]


def _hold_points(found: Assessed) -> list[dict[str, Any]]:
    answers = {(each.code, each.cavity): plain(each) for each in ledger.in_order(found.ledger.answers)}
    return [_answered(plain(point), answers) for point in found.plan.hold_points]


def _answered(point: dict[str, Any], answers: Mapping[tuple[str, Any], dict[str, Any]]) -> dict[str, Any]:
    # An answer given for the whole job covers the cavities that it was not asked of one by one.
    answer = answers.get((point["code"], point["cavity"])) or answers.get((point["code"], None)) or {}
    names = ("answer", "reading", "remark", *RECORDED)
    return {**point, **{name: answer.get(name) for name in names}}
