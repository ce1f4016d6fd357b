"""The certificate: a frozen record, printed; nothing on it comes from anywhere else.

The file claims PDF/A-3a (archive) and PDF/UA-1 (screen readers) and carries the
record's canonical bytes as an attachment. The same record gives the same bytes.
"""

from datetime import datetime
from typing import Any

import segno
from markupsafe import Markup
from weasyprint import Attachment

from service.documents import metadata, render
from service.documents.elevation import elevation
from service.documents.formats import Units
from service.documents.parts import window
from service.documents.section import section
from service.documents.sources import sources
from service.documents.window_chart import Reading, strip, window_chart

Record = dict[str, Any]

ROWS_A_CHART = 20
QR_MM = 24


def html(record: Record) -> str:
    """The certificate of a record (the shape is fixed by the certificates' use case)."""
    market = record["market"]
    return render.to_html(
        "certificate.html",
        market=market,
        record=record | {"parts": [_part(place, part, record) for place, part in enumerate(record["parts"], start=1)]},
        counts=_counts(record),
        air_test=_last_air_test(record["air_tests"]),
        sources=sources(record),
        section=section,
        elevation=elevation,
        window_chart=window_chart,
        strip=lambda part, title: strip(part["window"], part["lead"], units=Units(market), title=title),
        qr=_qr,
    )


def pdf(record: Record, canonical: bytes) -> bytes:
    """The certificate as PDF/A-3a and PDF/UA-1; `canonical` is attached as record.json.

    Raises DocumentFailed where the record lacks a fact or the file cannot be made cleanly.
    """
    issued = datetime.fromisoformat(record["issued_at"])
    attached = Attachment(
        string=canonical,
        name="record.json",
        description=f"The record of certificate {record['number']}",
        relationship="Data",
        created=issued,
        modified=issued,
    )
    return render.to_pdf(
        html(record), variant="pdf/a-3a", attachments=(attached,), finisher=metadata.claim_accessibility
    )


def _qr(url: str, title: str) -> Markup:
    """A square picture of the address, error correction M, with the quiet zone that ISO/IEC 18004 asks for."""
    return Markup(  # noqa: S704 - segno escapes the title, the rest are squares
        segno.make(url, error="m").svg_inline(
            title=title, border=4, omitsize=True, svgclass="qr", lineclass=None, svgns=True
        )
    )


def _counts(record: Record) -> dict[str, int]:
    safety = [point for point in record["hold_points"] if point["safety"]]
    return {
        "conforming": sum(part["found"]["verdict"] == "conforming" for part in record["parts"]),
        "safety": len(safety),
        "safety_answered": sum(point["answer"] is not None for point in safety),
        "closed": sum(each["patch"] is not None for each in record["penetrations"]),
    }


def _last_air_test(tests: list[dict[str, Any]]) -> dict[str, Any] | None:
    return max(tests, key=lambda test: test["recorded_at"], default=None)


def _part(place: int, part: dict[str, Any], record: Record) -> dict[str, Any]:
    """A part with what its page shows besides: thicknesses, bags, readings, samples, deviations."""
    planned, found = part["planned"], part["found"]
    opened, density = planned["open_blow"], planned["density"]
    samples = [sample for space in found["compartments"] for sample in space["samples"]]
    readings = _readings(found) if density else []
    bags = found["bags"]
    return part | {
        "place": place,
        "area_m2": planned["geometry"]["net_area_m2"],
        "initial_mm": opened["initial_mm"] if opened else planned["geometry"]["depth_mm"],
        "settled_mm": opened["settled_mm"] if opened else planned["geometry"]["depth_mm"],
        "bags": bags if bags is not None else found["mass_kg"] / record["material"]["bag_kg"],
        "window": window(planned),
        "lead": next((each for each in readings if each.counts), None)
        if len(found["compartments"]) == 1
        else None,
        "readings": [readings[i : i + ROWS_A_CHART] for i in range(0, len(readings), ROWS_A_CHART)],
        "samples": samples,
        "sampled": sorted({sample["bay"] for sample in samples}),
        "deviations": [each for each in record["deviations"] if each["cavity"] == part["cavity"]["label"]],
    }


def _readings(found: dict[str, Any]) -> list[Reading]:
    """What is known of each compartment's density: what led to it first, then what counts."""
    spaces, readings = found["compartments"], []
    for space in spaces:
        label, decides = space["label"] if len(spaces) > 1 else "", space["achieved"]
        balance = space["mass_balance"]
        if balance and not (decides and decides["how"] == "mass_balance"):
            readings.append(_reading(label, balance["how"], balance))
        readings += [
            _reading(label, sample["shape"], sample, bay=sample["bay"])
            for sample in space["samples"]
            if not sample["superseded"]
        ]
        if decides:
            readings.append(_reading(label, decides["how"], decides, counts=True))
    return readings


def _reading(
    space: str, found_by: str, figures: dict[str, Any], *, bay: int | None = None, counts: bool = False
) -> Reading:
    return Reading(space, found_by, bay, figures["density_kg_m3"], figures["expanded_u_kg_m3"], counts)
