"""The certificate: a frozen record with its client's name and address, printed; nothing else is on it.

The file claims PDF/A-3a (archive) and PDF/UA-1 (screen readers) and carries the
record's canonical bytes as an attachment. The same record gives the same bytes.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from io import BytesIO
from typing import Any

import segno
from markupsafe import Markup
from weasyprint import Attachment

from service.documents.drawings.bars import masses, resistances
from service.documents.drawings.elevation import elevation
from service.documents.drawings.section import section
from service.documents.drawings.window_chart import Reading, Spread, at_least, strip, window_chart
from service.documents.papers.groups import answers, by_part, hold_points
from service.documents.papers.parts import window
from service.documents.papers.photos import by_address, position
from service.documents.papers.sources import sources
from service.documents.pdf import metadata, render
from service.documents.wording.formats import DEPTH, LOADING, MASS, Units

Record = dict[str, Any]

TOLD_OF_SAMPLES = ("shape", "feel", "verdict", "superseded", "by")
SAMPLES_APART = 6
"""As many samples as have a row of their own in a part's chart; more of them share one."""


def html(record: Record, *, preview: bool = False) -> str:
    """The certificate of a record (its shape is fixed by the use case), or a preview marked as one."""
    units = Units(record["market"], record["language"])
    return render.to_html(
        "certificate.html",
        units=units,
        preview=preview,
        failing=_failing(record["outcome"]),
        record=record
        | {"parts": [_part(place, part, record) for place, part in enumerate(record["parts"], start=1)]},
        counts=_counts(record),
        hold_points=[
            group | {"answers": answers(group["points"])} for group in hold_points(record["hold_points"])
        ],
        holes=by_part(record["holes"]),
        air_test=_last_air_test(record["air_tests"]),
        sources=sources(record, units),
        section=section,
        resistances=resistances,
        masses=masses,
        elevation=elevation,
        window_chart=window_chart,
        at_least=at_least,
        kinds={"thickness": DEPTH, "loading": LOADING, "mass": MASS},
        strip=lambda part, title: strip(part["window"], part["decisive"], units=units, title=title),
        qr=_qr,
        position=position,
    )


def glance(record: Record) -> list[dict[str, Any]]:
    """The record's parts at a glance, for a page in English: what, how large, how dense, and the result."""
    units = Units(record["market"])
    return [
        {
            "cavity": part["cavity"],
            "area": units.area(part["planned"]["geometry"]["net_area_m2"]),
            "verdict": part["found"]["verdict"],
            "strip": _strip(part, units),
        }
        for part in record["parts"]
    ]


def _strip(part: dict[str, Any], units: Units) -> Markup | None:
    """A dense fill's densities in their window; None for an open blow."""
    bounds = window(part["planned"])
    title = f"Density of {part['cavity']['label']} in its window"
    spaces = part["found"]["compartments"]
    return strip(bounds, _decisive(spaces), units=units, title=title) if bounds else None


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


def preview(record: Record, photos: Mapping[str, bytes] = render.NO_PICTURES) -> bytes:
    """The certificate of a record before it is issued, marked as a preview on every page."""
    return render.to_pdf(html(record, preview=True), pictures=by_address(photos))


def _failing(outcome: Mapping[str, Any]) -> dict[str, list[str]]:
    """The parts that fail, are undecided or are not part of it, each by its name."""
    verdicts = {each["cavity"]: each["verdict"] for each in outcome["parts"]}
    filled = {each["cavity"]: each["filled"] for each in outcome["not_part"]}
    return {
        "non_conforming": [name for name, verdict in verdicts.items() if verdict == "non_conforming"],
        "undecided": [name for name, verdict in verdicts.items() if verdict in ("inconclusive", None)],
        "not_filled": [name for name, is_filled in filled.items() if not is_filled],
        "left_out": [name for name, is_filled in filled.items() if is_filled],
    }


def _qr(url: str, title: str) -> Markup:
    """The address as a QR code (ISO/IEC 18004), error correction M, with its quiet zone of four modules."""
    svg = BytesIO()
    segno.make(url, error="m").save(
        svg, kind="svg", title=title, border=4, omitsize=True, svgclass="qr", lineclass=None, xmldecl=False
    )
    return Markup(svg.getvalue().decode())  # noqa: S704


def _counts(record: Record) -> dict[str, int]:
    safety = [point for point in record["hold_points"] if point["safety"]]
    return {
        "conforming": sum(part["found"]["verdict"] == "conforming" for part in record["parts"]),
        "safety": len(safety),
        "safety_answered": sum(point["answer"] is not None for point in safety),
        "holes": sum(each["made"] + each["others"] for each in record["holes"]),
        "closed": sum(each["closed"] for each in record["holes"]),
    }


def _last_air_test(tests: list[dict[str, Any]]) -> dict[str, Any] | None:
    return max(tests, key=lambda test: test["happened_at"], default=None)


def _part(place: int, part: dict[str, Any], record: Record) -> dict[str, Any]:
    """A part with what its page shows besides: area, thicknesses, bags, readings, samples, concessions."""
    planned, found = part["planned"], part["found"]
    label, spaces = part["cavity"]["label"], found["compartments"]
    samples = [sample for space in spaces for sample in _by_bay(space["samples"])]
    return part | {
        "place": place,
        "bags": _bags(found, record["material"]["bag_kg"]),
        "window": window(planned),
        "decisive": _decisive(spaces),
        "rows": _rows(spaces),
        "kinds": _kinds(spaces),
        "exceptions": [space for space in spaces if space["verdict"] != "conforming" or space["note"]],
        "samples": _alike(samples),
        "sampled": sorted({sample["bay"] for sample in samples}),
        "concessions": [each for each in record["concessions"] if each["cavity"] == label],
        **(_open(planned, found, record) if planned["open_blow"] else _dense(planned, found)),
    }


def _bags(found: dict[str, Any], bag_kg: float) -> float | None:
    """Bags as counted, else the mass in bags; None where nothing is on record."""
    bags: float | None = found["bags"]
    mass_kg: float | None = found["mass_kg"]
    return bags if bags is not None or mass_kg is None else mass_kg / bag_kg


def _dense(planned: dict[str, Any], found: dict[str, Any]) -> dict[str, Any]:
    """Fill blown tight keeps the cavity's depth."""
    geometry = planned["geometry"]
    return {
        "area_m2": geometry["net_area_m2"],
        "initial_mm": geometry["depth_mm"],
        "settled_mm": geometry["depth_mm"],
        "installed": found["installed"],
    }


def _open(planned: dict[str, Any], found: dict[str, Any], record: Record) -> dict[str, Any]:
    """An open blow has the thickness that was measured, and settles to no less than was planned."""
    plan, geometry = planned["open_blow"], planned["geometry"]
    thickness = found["open_blow"]["thickness"]
    initial_mm = thickness["thickness_mm"] if thickness else plan["initial_mm"]
    return {
        "area_m2": plan["area_m2"] if record["market"] == "us" else geometry["net_area_m2"],
        "initial_mm": initial_mm,
        "settled_mm": plan["settled_mm"],
        "installed": found["installed"],
    }


def _by_bay(samples: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return sorted(samples, key=lambda sample: (sample["bay"], sample["happened_at"]))


def _alike(samples: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    """The samples of one shape, feel, verdict, person and day together."""
    alike: dict[tuple[Any, ...], list[dict[str, Any]]] = {}
    for sample in samples:
        told = tuple(sample[name] for name in TOLD_OF_SAMPLES)
        alike.setdefault((*told, sample["happened_at"][:10]), []).append(sample)
    return [
        dict(zip((*TOLD_OF_SAMPLES, "day"), told, strict=True)) | {"samples": same}
        for told, same in alike.items()
    ]


def _decisive(spaces: Sequence[dict[str, Any]]) -> list[Reading]:
    """What decides of each space, to be shown at a glance."""
    return [_reading(_name(space, spaces), space["achieved"]) for space in spaces if space["achieved"]]


def _rows(spaces: Sequence[dict[str, Any]]) -> list[Reading | Spread]:
    """The rows of a part's chart: a space's own evidence where it is the only one, else all of a kind."""
    if len(spaces) > 1:
        return [
            Spread(kind["how"], tuple(kind["readings"]), bays=False, counts=True) for kind in _kinds(spaces)
        ]
    return [row for space in spaces for row in _evidence(space)]


def _evidence(space: dict[str, Any]) -> list[Reading | Spread]:
    """What is known of one space's density: what led to it first, then what counts."""
    decides = space["achieved"]
    rows: list[Reading | Spread] = [
        _reading("", basis)
        for basis in (space["mass_balance"], space["by_samples"])
        if basis and basis["how"] != (decides and decides["how"])
    ]
    rows += _of_samples([each for each in _by_bay(space["samples"]) if not each["superseded"]])
    return [*rows, _reading("", decides, counts=True)] if decides else rows


def _of_samples(samples: Sequence[dict[str, Any]]) -> list[Reading | Spread]:
    """Each sample, or where they are many those of one shape together."""
    readings = [_reading("", each, found_by=each["shape"], bay=each["bay"]) for each in samples]
    if len(readings) <= SAMPLES_APART:
        return list(readings)
    shapes = dict.fromkeys(each.found_by for each in readings)
    return [
        Spread(shape, tuple(each for each in readings if each.found_by == shape), bays=True, counts=False)
        for shape in shapes
    ]


def _kinds(spaces: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    """The spaces whose density was found in the same way, with what is least and most of them."""
    known = [space for space in spaces if space["achieved"]]
    return [
        _kind(how, [space for space in known if space["achieved"]["how"] == how], spaces)
        for how in dict.fromkeys(space["achieved"]["how"] for space in known)
    ]


def _kind(how: str, same: Sequence[dict[str, Any]], spaces: Sequence[dict[str, Any]]) -> dict[str, Any]:
    readings = [_reading(_name(space, spaces), space["achieved"], counts=True) for space in same]
    least = min(same, key=lambda space: space["achieved"]["probability"])
    return {
        "how": how,
        "count": len(same),
        "readings": readings,
        "lowest": min(readings, key=lambda each: each.density_kg_m3),
        "highest": max(readings, key=lambda each: each.density_kg_m3),
        "widest": max(each.expanded_u_kg_m3 for each in readings),
        "least": least["achieved"]["probability"],
        "least_space": _name(least, spaces),
        "doubts": _doubts(same),
        "spaces": [
            {
                "name": space["label"].rpartition("/")[2],
                "density_kg_m3": space["achieved"]["density_kg_m3"],
            }
            for space in same
        ],
    }


def _name(space: dict[str, Any], spaces: Sequence[dict[str, Any]]) -> str:
    return space["label"] if len(spaces) > 1 else ""


def _reading(
    space: str,
    figures: dict[str, Any],
    *,
    found_by: str | None = None,
    bay: int | None = None,
    counts: bool = False,
) -> Reading:
    density, wide = figures["density_kg_m3"], figures["expanded_u_kg_m3"]
    return Reading(space, found_by or figures["how"], bay, density, wide, counts)


def _doubts(spaces: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    """The largest share of each space's uncertainty, once."""
    budgets = [space["achieved"]["budget"] for space in spaces if space["achieved"]["budget"]]
    return list({budget[0]["name"]["code"]: budget[0]["name"] for budget in budgets}.values())
