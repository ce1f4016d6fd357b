"""The photos of a certificate: printed byte for byte as they are kept, for their digests to be checked."""

import hashlib
from collections.abc import Mapping

from service.errors import DocumentFailed


def by_address(photos: Mapping[str, bytes]) -> dict[str, bytes]:
    """The photos by the addresses that pages have for them: `photo:` and the SHA-256.

    Raises DocumentFailed for a photo that is not the one that its digest names.
    """
    for sha256, content in photos.items():
        if hashlib.sha256(content).hexdigest() != sha256:
            raise DocumentFailed(f"The stored photo {sha256} is not the one that was taken in.")
    return {f"photo:{sha256}": content for sha256, content in photos.items()}


def position(latitude: float, longitude: float) -> str:
    """A place in degrees with their sides, to about a metre."""
    north, east = "N" if latitude >= 0 else "S", "E" if longitude >= 0 else "W"
    return f"{abs(latitude):.5f}° {north}, {abs(longitude):.5f}° {east}"
