"""ZIP files (APPNOTE 6.3) for archives: the same contents give the same bytes, and nothing is trusted.

Members are stored, not compressed: no version of a compressor changes the bytes,
and what is small in a file cannot become large in memory.
"""

import struct
from typing import BinaryIO
from zipfile import ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from service.engine.ground.messages import Message, message
from service.errors import Fault, InvalidInput

MOST_MEMBERS = 10_000
LARGEST_MEMBER_BYTES = 256 * 2**20

EPOCH = (1980, 1, 1, 0, 0, 0)
UNIX = 3
READABLE = 0o100644 << 16
ENCRYPTED = 0x1

END = struct.Struct("<4s4H2LH")
"""The end of central directory record (4.3.16)."""
END_SIGNATURE = b"PK\x05\x06"

DAMAGED = (BadZipFile, EOFError, NotImplementedError, OSError, RuntimeError, ValueError, struct.error)
"""What the reader raises when a file is not what it says."""


class Writer:
    """Adds members one after the other."""

    def __init__(self, file: BinaryIO) -> None:
        self._zip = ZipFile(file, "w", ZIP_STORED)

    def add(self, name: str, content: bytes) -> None:
        """Add a member, as if written at the earliest moment there is."""
        info = ZipInfo(name, EPOCH)
        info.create_system, info.external_attr = UNIX, READABLE
        self._zip.writestr(info, content)

    def close(self) -> None:
        """Write the directory."""
        self._zip.close()


class Reader:
    """Reads the members of a file that may come from anybody; nothing is ever written to disk."""

    def __init__(self, file: BinaryIO) -> None:
        """Look at the directory alone; raises InvalidInput for anything that a Writer does not write."""
        try:
            size = _check_end(file)
            self._zip = ZipFile(file)
        except DAMAGED:
            raise _refused("", message("keeping.not_a_whole_file")) from None
        self._members = {info.filename: info for info in self._zip.infolist()}
        if len(self._members) != len(self._zip.infolist()):
            raise _refused("", message("keeping.member_twice"))
        for info in self._members.values():
            _check_member(info)
        if sum(info.file_size for info in self._members.values()) > size:
            raise _refused("", message("keeping.members_overlap"))

    @property
    def sizes(self) -> dict[str, int]:
        """The members' sizes in bytes, by their names."""
        return {name: info.file_size for name, info in self._members.items()}

    def read(self, name: str) -> bytes:
        """A member's content; raises InvalidInput where it is missing or damaged."""
        if name not in self._members:
            raise _refused(name, message("keeping.member_missing"))
        try:
            return self._zip.read(self._members[name])
        except DAMAGED:
            raise _refused(name, message("keeping.member_damaged")) from None


def _refused(name: str, detail: Message) -> InvalidInput:
    return InvalidInput(Fault(name, detail))


def _check_end(file: BinaryIO) -> int:
    """Refuse by the last bytes alone what would fill memory with its directory; returns the file's size."""
    size = file.seek(0, 2)
    file.seek(-END.size, 2)
    signature, _, _, _, members, directory_bytes, _, comment_bytes = END.unpack(file.read(END.size))
    if signature != END_SIGNATURE or comment_bytes:
        raise BadZipFile
    if members > MOST_MEMBERS or directory_bytes > MOST_MEMBERS * 200:
        raise _refused("", message("keeping.too_many_members", most=MOST_MEMBERS))
    return size


def _check_member(info: ZipInfo) -> None:
    if info.compress_type != ZIP_STORED or info.file_size != info.compress_size:
        raise _refused(info.filename, message("keeping.member_compressed"))
    if info.flag_bits & ENCRYPTED:
        raise _refused(info.filename, message("keeping.member_encrypted"))
    if info.file_size > LARGEST_MEMBER_BYTES:
        raise _refused(info.filename, message("keeping.member_too_large", most=LARGEST_MEMBER_BYTES))
