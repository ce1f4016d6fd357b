"""The shape of a certificate's record, for whoever reads one: published as a JSON Schema, and frozen.

Version 1 is what certificates are issued in. A record that says more, or says it otherwise, is of
another version, under another name: what was issued must be readable in ten years by what was
published then.
"""

from dataclasses import dataclass
from functools import cache
from typing import Annotated, Literal

import rfc8785

from service.engine.ground.formula import Rule
from service.engine.ground.shapes import Unit
from service.engine.ground.vocabulary import Market, SupplementState
from service.engine.plan.cavity_takeoff import CavityTakeoff
from service.engine.site.as_found import FoundFinding
from service.engine.site.certifiable import Outcome
from service.engine.site.concessions import Concession
from service.engine.site.entries import AirTest
from service.engine.site.findings import CavityFinding
from service.engine.site.hold_point_findings import HoldPointFinding
from service.engine.site.hole_findings import HolesFinding
from service.engine.site.stock import StockFinding, Whereabouts
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Material, Practice
from service.usecases.base.json_schema import json_schema
from service.usecases.firm.signing_keys import Signature

NAME = "urn:baywright:record:1"
TITLE = "The record of a certificate of installed loose-fill cellulose insulation, version 1"
Digest = Annotated[str, "SHA-256 in hexadecimal"]
Moment = Annotated[str, "RFC 3339, UTC"]


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuingFirm:
    """The firm as it stood when the certificate was issued."""

    code: Annotated[str, "short name, part of its numbers"]
    name: Annotated[str, "name"]
    address: Annotated[str, "address, in lines"]
    email: Annotated[str, "mail"]
    phone: Annotated[str, "telephone"]
    currency: Annotated[str, "that it usually quotes in (ISO 4217)"] = ""
    time_zone: Annotated[str, "zone in which its papers tell times (IANA)"] = "UTC"
    material: Annotated[str, "code of the material that it usually blows"] = ""
    practice: Annotated[str, "code of the practice that it usually works by"] = ""
    timestamp_url: Annotated[str, "the authority whose timestamps its signatures have"] = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Building:
    """The building; its address is the client's, and stands in the file alone."""

    country: Annotated[str, "ISO 3166, two letters"]
    built_year: Annotated[int, Unit("year"), "when it was built, where that is known"] = 0


AS_POSTED = (IssuingFirm, Building)
"""What is kept as it was posted: what has a default here may be missing there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of the building that was filled and is certified."""

    cavity: Annotated[Cavity, "as surveyed"]
    planned: Annotated[CavityTakeoff, "as planned"]
    as_found: Annotated[FoundFinding | None, "where it was found otherwise than surveyed"]
    found: Annotated[CavityFinding, "what the site's entries show of it"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """A photo; its bytes lie under its digest in the job's archive."""

    id: Annotated[str, "under which it was taken (UUID)"]
    sha256: Annotated[Digest, "of its bytes"]
    cavity: Annotated[str | None, "the part that it shows"]
    caption: Annotated[str | None, "what is said of it"]
    width_px: Annotated[int, Unit("px"), "width"]
    height_px: Annotated[int, Unit("px"), "height"]
    taken_at: Annotated[Moment | None, "when it was taken, where the camera told its zone"]
    place_sha256: Annotated[Digest | None, "salted digest of where it was taken"]
    tags: Annotated[list[str], "of the holes over which it shows a patch: their tags, or numbers of the plan"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenOver:
    """That the office takes over what the client did not accept."""

    taken_at: Annotated[Moment, "when"]
    by: Annotated[str, "who of the office says so"]
    reason: Annotated[str, "why"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Supplement:
    """What came up on the way and was agreed: accepted by the client, or taken over by the office."""

    number: Annotated[str, "of the supplement"]
    state: Annotated[SupplementState, "how far it has come with the client"]
    agreed: Annotated[bool, "that it is accepted or taken over"]
    parts: Annotated[list[str], "labels of the parts that it added"]
    dropped: Annotated[list[str], "labels of the parts that are left out by it"]
    accepted_at: Annotated[Moment | None, "when the client accepted it"]
    taken_over: Annotated[TakenOver | None, "that the office takes it over"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """Everything that a certificate says; who the client is stands in it as a salted digest."""

    format: Annotated[Literal["baywright-certificate-1"], "what this is"]
    number: Annotated[str, "of the certificate"]
    issued_at: Annotated[Moment, "when it was issued"]
    signed_by: Annotated[str, "who signed it"]
    signature: Annotated[Signature, "how its file is signed"]
    supersedes: Annotated[list[str], "numbers of the certificates whose place it takes"]
    verify_url: Annotated[str, "where anybody can ask whether it stands"]
    ledger_sha256: Annotated[Digest, "the chain of all that was issued of the quotation, just before"]
    client_sha256: Annotated[Digest, "salted digest of the client's data"]
    quote_number: Annotated[str, "of the quotation"]
    job_number: Annotated[str, "of the job"]
    reference: Annotated[str, "the client's or the firm's own"]
    offered_at: Annotated[Moment, "when it was offered"]
    valid_until: Annotated[str, "day until which the offer held"]
    market: Annotated[Market, "whose rules and measures it is by"]
    language: Annotated[str, "of its papers (ISO 639-1)"]
    firm: Annotated[IssuingFirm, "who issued it"]
    site: Annotated[Building, "the building"]
    engine: Annotated[str, "version of the calculation"]
    material: Annotated[Material, "the sheet in force"]
    practice: Annotated[Practice, "the firm's rules in force"]
    outcome: Annotated[Outcome, "what it says at a glance"]
    parts: Annotated[list[Part], "each part"]
    holes: Annotated[list[HolesFinding], "holes and patches of each part"]
    as_found: Annotated[list[FoundFinding], "parts found otherwise than surveyed"]
    hold_points: Annotated[list[HoldPointFinding], "questions before and after filling, with answers"]
    concessions: Annotated[list[Concession], "granted by the office"]
    supplements: Annotated[list[Supplement], "what was agreed on the way"]
    air_tests: Annotated[list[AirTest], "tests of airtightness"]
    filled_from: Annotated[str | None, "when its parts were first filled, RFC 3339 with the site's offset"]
    filled_until: Annotated[str | None, "when they were filled last"]
    lots: Annotated[list[str], "of the material that its parts are known to hold, or may hold"]
    stock: Annotated[list[StockFinding], "bags brought, emptied, taken back"]
    whereabouts: Annotated[Whereabouts, "what became of the material"]
    rules: Annotated[list[Rule], "rules followed besides those beside a figure"]
    photos: Annotated[list[Photo], "of the work"]
    doubtful_clocks: Annotated[int, Unit(""), "entries made by clocks that ran ahead"]
    corrections: Annotated[int, Unit(""), "entries of the site's record that were corrected"]


@cache
def published() -> bytes:
    """The JSON Schema of a record, canonical (RFC 8785)."""
    return rfc8785.dumps(json_schema(Record, name=NAME, title=TITLE, posted=AS_POSTED))
