"""The claims of a certificate's file.

Subjects: ISO 19005-3 (PDF/A-3) and ISO 14289-1 (PDF/UA-1). Both claims were also put to
an independent validator by hand; these tests keep what it checked in place.
"""

from io import BytesIO
from xml.etree import ElementTree

import pikepdf

RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
PDFA = "{http://www.aiim.org/pdfa/ns/id/}"
PDFUA = "{http://www.aiim.org/pdfua/ns/id/}"
EXTENSION = "{http://www.aiim.org/pdfa/ns/schema#}"


def packet(pdf: bytes) -> tuple[ElementTree.Element, pikepdf.Stream]:
    with pikepdf.open(BytesIO(pdf)) as file:
        stream = file.Root.Metadata
        assert "/Filter" not in stream
        return ElementTree.fromstring(stream.read_bytes()), stream


def test_both_claims_stand_in_one_packet(certificate_pdf: bytes) -> None:
    xmp, _ = packet(certificate_pdf)
    assert len(xmp.findall(f".//{RDF}RDF")) == 1
    (claim,) = [each for each in xmp.iter(f"{RDF}Description") if each.get(f"{PDFA}part")]
    assert (claim.get(f"{PDFA}part"), claim.get(f"{PDFA}conformance")) == ("3", "A")
    assert [each.text for each in xmp.iter(f"{PDFUA}part")] == ["1"]


def test_the_second_claim_is_described_as_the_first_demands(certificate_pdf: bytes) -> None:
    xmp, _ = packet(certificate_pdf)
    assert [each.text for each in xmp.iter(f"{EXTENSION}prefix")] == ["pdfuaid"]
    assert [each.text for each in xmp.iter(f"{EXTENSION}namespaceURI")] == [PDFUA.strip("{}")]


def test_the_attachment_is_associated_once_as_data(certificate_pdf: bytes) -> None:
    with pikepdf.open(BytesIO(certificate_pdf)) as file:
        (associated,) = file.Root.AF
        assert associated.AFRelationship == "/Data"


def test_the_file_is_tagged_titled_and_has_its_language(certificate_pdf: bytes) -> None:
    with pikepdf.open(BytesIO(certificate_pdf)) as file:
        assert file.Root.MarkInfo.Marked
        assert file.Root.Lang == "en"
        assert file.Root.ViewerPreferences.DisplayDocTitle
        assert file.docinfo.Title == "Installation certificate BW-2026-0001"
        assert file.Root.OutputIntents[0].S == "/GTS_PDFA1"


def test_dates_are_those_of_the_issue(certificate_pdf: bytes) -> None:
    with pikepdf.open(BytesIO(certificate_pdf)) as file:
        assert str(file.docinfo.CreationDate).startswith("D:20261124150200")
        assert str(file.docinfo.ModDate).startswith("D:20261124150200")
        (attached,) = file.attachments.values()
        assert attached.get_file().creation_date.isoformat() == "2026-11-24T15:02:00+00:00"
