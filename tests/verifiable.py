"""Small files with all of a certificate's file that verifying looks at; and a page that says nothing."""

from io import BytesIO
from typing import Any

import pikepdf
import rfc8785

NUMBER = "DEMO-2026-00001"


def record(**changes: Any) -> dict[str, Any]:
    """Of a record what verifying reads."""
    return {
        "format": "baywright-certificate-1",
        "number": NUMBER,
        "firm": {"name": "Specimen firm"},
        "issued_at": "2026-11-25T08:00:00Z",
        "signature": "timestamped",
        "verify_url": f"https://baywright.example/verify/{NUMBER}",
        **changes,
    }


def attached(*contents: bytes) -> bytes:
    """A PDF with these as its record."""
    file = BytesIO()
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.Root.AF = pikepdf.Array(
            [pikepdf.AttachedFileSpec(pdf, each, filename="record.json").obj for each in contents]
        )
        pdf.save(file, static_id=True)
    return file.getvalue()


def certificate(**changes: Any) -> bytes:
    """A PDF with such a record attached, as certificates have it."""
    return attached(rfc8785.dumps(record(**changes)))
