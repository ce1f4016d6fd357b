"""The claims in a certificate's metadata: PDF/UA-1 beside the PDF/A-3a that the renderer writes.

A file has one metadata packet with one `rdf:RDF` in it (ISO 16684-1). PDF/A admits
properties that it does not know only with their description (ISO 19005-3, 6.6.2.3.2),
so the claim of PDF/UA brings its own along.
"""

from typing import Any

import pydyf

CLAIM = b"""\
<rdf:Description xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/" rdf:about="">
<pdfuaid:part>1</pdfuaid:part>
</rdf:Description>
<rdf:Description xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"
 xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#"
 xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#" rdf:about="">
<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">
<pdfaSchema:schema>PDF/UA Universal Accessibility Schema</pdfaSchema:schema>
<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>
<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>
<pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">
<pdfaProperty:name>part</pdfaProperty:name>
<pdfaProperty:valueType>Integer</pdfaProperty:valueType>
<pdfaProperty:category>internal</pdfaProperty:category>
<pdfaProperty:description>Part of ISO 14289 that the file follows</pdfaProperty:description>
</rdf:li></rdf:Seq></pdfaSchema:property>
</rdf:li></rdf:Bag></pdfaExtension:schemas>
</rdf:Description>
"""
END = b"</rdf:RDF>"


def claim_accessibility(document: Any, pdf: pydyf.PDF) -> None:  # noqa: ARG001 - the renderer's signature
    """Put the claim of PDF/UA-1 inside the metadata, leave that readable, and name each attachment once."""
    packet = _object(pdf, pdf.catalog["Metadata"])
    before, end, after = packet.stream[0].partition(END)
    packet.stream[0] = before + CLAIM + end + after
    packet.compress = False
    pdf.catalog["AF"] = pydyf.Array(dict.fromkeys(pdf.catalog["AF"]))


def _object(pdf: pydyf.PDF, reference: bytes) -> Any:
    return pdf.objects[int(reference.split()[0])]
