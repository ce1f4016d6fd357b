"""The certificate: a frozen record with its client's name and address, printed; nothing else is on it.

The file claims PDF/A-3a (archive) and PDF/UA-1 (screen readers) and carries the
record's canonical bytes as an attachment. The same record gives the same bytes.
"""

import hashlib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from typing import Any

import segno
from markupsafe import Markup
from weasyprint import Attachment

from service.documents.drawings.elevation import drawn_mm, elevation, house_scale
from service.documents.drawings.section import section
from service.documents.drawings.strip import strip
from service.documents.papers import evidence, holes
from service.documents.papers.build_ups import BuildUp, build_ups
from service.documents.papers.certified import as_it_is, certified
from service.documents.papers.groups import answers, hold_points, most_common
from service.documents.papers.in_short import in_short
from service.documents.papers.photos import by_address, position
from service.documents.papers.reasons import together
from service.documents.papers.sources import sources
from service.documents.papers.verdicts import conceded, verdicts
from service.documents.pdf import metadata, render
from service.documents.pdf.cutting import ENOUGH
from service.documents.wording.formats import KINDS, Units
from service.documents.wording.languages import catalogue

Record = dict[str, Any]

PAGE_MM, GAP_MM, LEAST_MM, HALF_MM = 174.0, 3.0, 40.0, 84.0
"""How wide a page is, what two drawings have between them, and the words above one at least and at most."""
LETTER_MM = 1.55
"""About as wide is a letter of these words."""
FAULTS_FIRST = ["non_conforming", "inconclusive", None, "conforming"]


def html(record: Record, *, digest: str | None = None, preview: bool = False) -> str:
    """The certificate of a record (its shape is fixed by the use case), or a preview marked as one.

    A preview names the photos under `photos_awaited`, which would not be in it.
    """
    units = Units.of(record)
    parts = [certified(part, record, units) for part in record["parts"]]
    rows, usual = holes.told_once(holes.rows(parts, record["holes"]), units)
    points, answered_by = _answered(record["hold_points"], units)
    made, scale = build_ups(parts), house_scale([part["cavity"] for part in parts])
    return render.to_html(
        "certificate.html",
        units=units,
        preview=preview,
        digest=digest,
        record=record | {"parts": parts},
        verdicts=verdicts(record["outcome"]),
        concessions=conceded(record["concessions"]),
        awaited=_awaited(record.get("photos_awaited", ())),
        conceded={each["cavity"] for each in record["concessions"]},
        build_ups=made,
        lines=in_short(made),
        elevations=_in_rows(made, scale, units),
        counts=_counts(record),
        installed=(record["filled_from"], record["filled_until"]),
        lots=record["lots"],
        evidence=[row for part in parts if (row := part["evidence"])],
        said_of_evidence=together(
            (part, note) for part in parts if part["evidence"] for note in part["evidence"]["notes"]
        ),
        hold_points=points,
        answered_by=answered_by,
        holes=rows,
        usual=usual,
        notes=together((part, said) for part in parts for said in part["thermal"]["notes"]),
        air_test=_last_air_test(record["air_tests"]),
        sources=[each for each in sources(record, units) if each["standing"] == "published"],
        section=section,
        elevation=elevation,
        scale=scale,
        kinds=KINDS,
        strip=lambda part, title: strip(part["window"], part["readings"], units=units, title=title),
        qr=_qr,
        position=position,
    )


def _in_rows(groups: Sequence[BuildUp], scale: float, units: Units) -> list[list[tuple[Record, float]]]:
    """The parts with the widths (mm) of their drawings, as many in a row as a page is wide."""
    rows: list[list[tuple[Record, float]]] = []
    left_mm = 0.0
    for part in (part for group in groups for part in group.parts):
        wide_mm = round(max(LEAST_MM, _title_mm(part, units), drawn_mm(part["cavity"], scale)), 1)
        left_mm -= wide_mm + GAP_MM
        if not rows or left_mm < 0:
            rows.append([])
            left_mm = PAGE_MM - wide_mm - GAP_MM
        rows[-1].append((part, wide_mm))
    return rows


def _title_mm(part: Record, units: Units) -> float:
    """About how wide the words above a part's drawing are in one line, as far as they may be."""
    count = part["holes"]["made"] if part["holes"] else 0
    words = catalogue(units.language.code).ngettext("%(count)s entry hole", "%(count)s entry holes", count)
    named = (part["cavity"]["label"], part["cavity"]["place"], words % {"count": count})
    return min(HALF_MM, LETTER_MM * len("; ".join(each for each in named if each)))


def glance(record: Record) -> list[dict[str, Any]]:
    """The record's parts at a glance, faults first: what, how large, how dense."""
    units = Units.of(record)
    rows = [
        {
            "cavity": part["cavity"],
            "area": units.area(part["area_m2"]),
            "verdict": part["found"]["verdict"],
            "strip": _strip(part, units),
        }
        for part in (each | as_it_is(each, record) for each in record["parts"])
    ]
    return sorted(rows, key=lambda row: FAULTS_FIRST.index(row["verdict"]))


def _strip(part: Record, units: Units) -> Markup | None:
    """A dense fill's densities in their window; None for an open blow."""
    bounds = part["window"]
    words = catalogue(units.language.code).gettext("Density of %(part)s in its window")
    title = words % {"part": part["cavity"]["label"]}
    return strip(bounds, evidence.decisive(part), units=units, title=title) if bounds else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A certificate that is only to be printed: a large record need not be held while it is."""

    html: str
    number: str
    issued_at: datetime
    canonical: bytes


def pdf(record: Record, canonical: bytes, photos: Mapping[str, bytes] = render.NO_PICTURES) -> bytes:
    """The certificate of a record, written and printed."""
    return printed(written(record, canonical), photos)


def written(record: Record, canonical: bytes) -> Written:
    """The certificate of a record; raises DocumentFailed where the record lacks a fact."""
    return Written(
        html=html(record, digest=hashlib.sha256(canonical).hexdigest()),
        number=record["number"],
        issued_at=datetime.fromisoformat(record["issued_at"]),
        canonical=canonical,
    )


def printed(
    certificate: Written, photos: Mapping[str, bytes] = render.NO_PICTURES, enough: float = ENOUGH
) -> bytes:
    """The certificate as PDF/A-3a and PDF/UA-1; the canonical record is attached as record.json.

    `photos` are those that the record names, as JPEG files by their SHA-256. It is laid out in pieces of
    `enough` elements. Raises DocumentFailed where the file cannot be made cleanly.
    """
    attached = Attachment(
        string=certificate.canonical,
        name="record.json",
        description=f"The record of certificate {certificate.number}",
        relationship="Data",
        created=certificate.issued_at,
        modified=certificate.issued_at,
    )
    return render.to_pdf(
        certificate.html,
        variant="pdf/a-3a",
        attachments=(attached,),
        finisher=metadata.claim_accessibility,
        pictures=by_address(photos),
        enough=enough,
    )


def preview(record: Record, photos: Mapping[str, bytes] = render.NO_PICTURES) -> bytes:
    """The certificate of a record before it is issued, marked as a preview on every page."""
    return render.to_pdf(html(record, preview=True), pictures=by_address(photos))


def _qr(url: str, title: str) -> Markup:
    """The address as a QR code (ISO/IEC 18004), error correction M, with its quiet zone of four modules."""
    svg = BytesIO()
    segno.make(url, error="m").save(
        svg, kind="svg", title=title, border=4, omitsize=True, svgclass="qr", lineclass=None, xmldecl=False
    )
    return Markup(svg.getvalue().decode())  # noqa: S704


def _answered(points: Sequence[Record], units: Units) -> tuple[list[Record], tuple[str, str] | None]:
    """Each check once with its answers, and whose most of these are: by whom, and on which day."""
    groups = [group | {"answers": answers(group["points"])} for group in hold_points(points)]
    said = [each for group in groups for each in group["answers"]]
    usual = most_common(_by_and_day(each, units) for each in said)
    for each in said:
        each["usual"] = usual is not None and _by_and_day(each, units) == usual
    return groups, usual


def _by_and_day(answer: Record, units: Units) -> tuple[str, str] | None:
    return (answer["by"], units.day(answer["times"][0])) if answer["times"] else None


def _awaited(photos: Sequence[Record]) -> list[tuple[str, str, int]]:
    """Who still has photos on a phone, of which parts (none: of the job), and how many."""
    alike = Counter((each["by"], ", ".join(each["cavities"])) for each in photos)
    return [(by, parts, count) for (by, parts), count in alike.items()]


def _counts(record: Record) -> dict[str, int]:
    safety = [point for point in record["hold_points"] if point["safety"]]
    return {
        "safety": len(safety),
        "safety_answered": sum(point["answer"] is not None for point in safety),
        "holes": sum(each["made"] + each["others"] for each in record["holes"]),
        "closed": sum(each["closed"] for each in record["holes"]),
    }


def _last_air_test(tests: Sequence[dict[str, Any]]) -> dict[str, Any] | None:
    return max(tests, key=lambda test: datetime.fromisoformat(test["happened_at"]), default=None)
