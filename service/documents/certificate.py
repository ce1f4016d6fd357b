"""The certificate: a frozen record, printed; nothing on it comes from anywhere else.

The file claims PDF/A-3a (archive) and PDF/UA-1 (screen readers) and carries the
record's canonical bytes as an attachment. The same record gives the same bytes.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

import segno
from markupsafe import Markup
from weasyprint import Attachment

from service.documents import metadata, render
from service.documents.elevation import elevation
from service.documents.formats import DEPTH, LOADING, MASS, Units
from service.documents.parts import window
from service.documents.photos import by_address, position
from service.documents.section import section
from service.documents.sources import sources
from service.documents.window_chart import Reading, at_least, strip, window_chart

Record = dict[str, Any]

ROWS_A_CHART = 20


def html(record: Record) -> str:
    """The certificate of a record (the shape is fixed by the certificates' use case)."""
    market = record["market"]
    return render.to_html(
        "certificate.html",
        market=market,
        record=record
        | {"parts": [_part(place, part, record) for place, part in enumerate(record["parts"], start=1)]},
        counts=_counts(record),
        penetrations=_by_cavity(record),
        air_test=_last_air_test(record["air_tests"]),
        sources=sources(record),
        section=section,
        elevation=elevation,
        window_chart=window_chart,
        at_least=at_least,
        kinds={"thickness": DEPTH, "loading": LOADING, "mass": MASS},
        strip=lambda part, title: strip(part["window"], part["decisive"], units=Units(market), title=title),
        qr=_qr,
        position=position,
    )


def pdf(record: Record, canonical: bytes, photos: Mapping[str, bytes] = render.NO_PICTURES) -> bytes:
    """The certificate as PDF/A-3a and PDF/UA-1; `canonical` is attached as record.json.

    `photos` are those that the record names, as JPEG files by their SHA-256.
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
        html(record),
        variant="pdf/a-3a",
        attachments=(attached,),
        finisher=metadata.claim_accessibility,
        pictures=by_address(photos),
    )


def _qr(url: str, title: str) -> Markup:
    """The address as a QR code (ISO/IEC 18004), error correction M, with its quiet zone of four modules."""
    code = segno.make(url, error="m")
    return Markup(code.svg_inline(title=title, border=4, omitsize=True, svgclass="qr", lineclass=None))  # noqa: S704


def _counts(record: Record) -> dict[str, int]:
    safety = [point for point in record["hold_points"] if point["safety"]]
    return {
        "conforming": sum(part["found"]["verdict"] == "conforming" for part in record["parts"]),
        "safety": len(safety),
        "safety_answered": sum(point["answer"] is not None for point in safety),
        "closed": sum(each["patch"] is not None for each in record["penetrations"]),
    }


def _by_cavity(record: Record) -> list[tuple[str, list[dict[str, Any]]]]:
    """The openings of each part that has any, in the order of the parts."""
    labels = [part["cavity"]["label"] for part in record["parts"]]
    of_each = [
        (label, [each for each in record["penetrations"] if each["cavity"] == label]) for label in labels
    ]
    return [(label, openings) for label, openings in of_each if openings]


def _last_air_test(tests: list[dict[str, Any]]) -> dict[str, Any] | None:
    return max(tests, key=lambda test: test["recorded_at"], default=None)


def _part(place: int, part: dict[str, Any], record: Record) -> dict[str, Any]:
    """A part with what its page shows besides: area, thicknesses, bags, readings, samples, deviations."""
    planned, found = part["planned"], part["found"]
    samples = [sample for space in found["compartments"] for sample in _by_bay(space["samples"])]
    readings = _readings(found)
    return part | {
        "place": place,
        "bags": _bags(found, record["material"]["bag_kg"]),
        "window": window(planned),
        "decisive": [each for each in readings if each.counts],
        "readings": [readings[i : i + ROWS_A_CHART] for i in range(0, len(readings), ROWS_A_CHART)],
        "samples": samples,
        "sampled": sorted({sample["bay"] for sample in samples}),
        "deviations": [each for each in record["deviations"] if each["cavity"] == part["cavity"]["label"]],
        **(_open(planned, found, record) if planned["open_blow"] else _dense(planned, found)),
    }


def _bags(found: dict[str, Any], bag_kg: float) -> float | None:
    """Bags as counted, else the mass in bags; None where nothing is on record."""
    if found["bags"] is not None or found["mass_kg"] is None:
        return found["bags"]
    return found["mass_kg"] / bag_kg


def _dense(planned: dict[str, Any], found: dict[str, Any]) -> dict[str, Any]:
    """Fill blown tight keeps the cavity's depth; its density is that of the mass in the room it has."""
    geometry, mass_kg = planned["geometry"], found["mass_kg"]
    room_m3 = sum(space["net_volume_m3"] + space["bulge_volume_m3"] for space in found["compartments"])
    return {
        "area_m2": geometry["net_area_m2"],
        "initial_mm": geometry["depth_mm"],
        "settled_mm": geometry["depth_mm"],
        "installed_kg_m3": mass_kg / room_m3 if mass_kg is not None else None,
    }


def _open(planned: dict[str, Any], found: dict[str, Any], record: Record) -> dict[str, Any]:
    """An open blow has the thickness that was measured, and settles to no less than was planned."""
    plan, geometry = planned["open_blow"], planned["geometry"]
    thickness, mass = found["open_blow"]["thickness"], found["open_blow"]["mass_per_area"]
    initial_mm = thickness["thickness_mm"] if thickness else plan["initial_mm"]
    return {
        "area_m2": plan["area_m2"] if record["market"] == "us" else geometry["net_area_m2"],
        "initial_mm": initial_mm,
        "settled_mm": plan["settled_mm"],
        "installed_kg_m3": mass["mass_per_area_kg_m2"] / initial_mm * 1000 if mass else None,
    }


def _by_bay(samples: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return sorted(samples, key=lambda sample: (sample["bay"], sample["recorded_at"]))


def _readings(found: dict[str, Any]) -> list[Reading]:
    """What is known of each compartment's density: what led to it first, then what counts."""
    spaces, readings = found["compartments"], []
    for space in spaces:
        label, decides = space["label"] if len(spaces) > 1 else "", space["achieved"]
        readings += [
            _reading(label, basis["how"], basis)
            for basis in (space["mass_balance"], space["by_samples"])
            if basis and basis["how"] != (decides and decides["how"])
        ]
        readings += [
            _reading(label, sample["shape"], sample, bay=sample["bay"])
            for sample in _by_bay(space["samples"])
            if not sample["superseded"]
        ]
        if decides:
            readings.append(_reading(label, decides["how"], decides, counts=True))
    return readings


def _reading(
    space: str, found_by: str, figures: dict[str, Any], *, bay: int | None = None, counts: bool = False
) -> Reading:
    return Reading(space, found_by, bay, figures["density_kg_m3"], figures["expanded_u_kg_m3"], counts)
