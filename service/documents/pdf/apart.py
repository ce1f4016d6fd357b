"""A paper made in a process of its own: forked, held to a time and to memory.

Whoever asks for it goes on, whatever becomes of it, and keeps nothing of what it took. The process is
given all that the paper says: it uses no connection that was open when it was forked.
"""

import ctypes
import logging
import multiprocessing
import resource
import signal
import tempfile
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from service.engine.ground.messages import Quantity, message
from service.errors import DocumentFailed, GivenUp

log = logging.getLogger("baywright")

FORK = multiprocessing.get_context("fork")
MIB = 2**20
# Linux, sys/prctl.h.
PR_SET_PDEATHSIG = 1
# The processor's own limit, should nobody be left to look at the clock.
SPARE_S = 30
FOLDER = "baywright-paper-"
"""Folders for what a process leaves behind, such as the fonts that a renderer was given."""
MADE, TOO_LARGE, FAILED = b"+", b"m", b"-"


def made_apart(make: Callable[[], bytes], *, limit_s: int, limit_mib: int) -> bytes:
    """What `make` makes; raises GivenUp where it needs more time or memory, DocumentFailed where it fails."""
    with TemporaryDirectory(prefix=FOLDER) as folder:
        said = _said(make, folder, limit_s, limit_mib)
    return _content(said, limit_s, limit_mib)


def _said(make: Callable[[], bytes], folder: str, limit_s: int, limit_mib: int) -> bytes:
    """What the process says that makes it: it is ended then, and leaves its temporary files in the folder."""
    receiver, sender = FORK.Pipe(duplex=False)
    process = FORK.Process(target=_make, args=(make, sender, folder, limit_s, limit_mib))
    process.start()
    sender.close()
    try:
        return receiver.recv_bytes() if receiver.poll(limit_s) else TOO_LARGE
    except EOFError:
        # Libraries that are not Python's end the process where memory runs out.
        return TOO_LARGE
    finally:
        process.kill()
        process.join()
        receiver.close()


def _content(said: bytes, limit_s: int, limit_mib: int) -> bytes:
    kind, content = said[:1], said[1:]
    if kind == MADE:
        return content
    if kind == FAILED:
        raise DocumentFailed(content.decode())
    within = Quantity(limit_s, "s")
    raise GivenUp(message("documents.too_large_to_show", time=within, mib=limit_mib))


def _make(make: Callable[[], bytes], sender: Connection, folder: str, limit_s: int, limit_mib: int) -> None:
    hold(limit_s, limit_mib)
    tempfile.tempdir = folder
    try:
        said = MADE + make()
    except MemoryError:
        said = TOO_LARGE
    except DocumentFailed as error:
        said = FAILED + str(error).encode()
    except Exception as error:
        log.error("a document failed", exc_info=error)
        said = FAILED + type(error).__name__.encode()
    with suppress(OSError):
        sender.send_bytes(said)


def hold(limit_s: int, limit_mib: int) -> None:
    """Hold this process to its limits, and to the life of who started it: nobody else would end it."""
    tell_system(PR_SET_PDEATHSIG, signal.SIGKILL)
    for ending in (signal.SIGINT, signal.SIGTERM):
        # They are meant for who started it, and waits for it.
        signal.signal(ending, signal.SIG_IGN)
    # What it was forked with is its parent's, and was there before.
    _limit(resource.RLIMIT_AS, _begun_with() + limit_mib * MIB)
    _limit(resource.RLIMIT_CPU, limit_s + SPARE_S)


def _begun_with() -> int:
    """The addresses in use (bytes; proc(5), statm); 0 where the system does not say."""
    with suppress(OSError):
        pages, _, _ = Path("/proc/self/statm").read_text(encoding="ascii").partition(" ")
        return int(pages) * resource.getpagesize()
    return 0


def tell_system(what: int, value: Any) -> None:
    """Say something of this process to Linux (prctl); other systems are not told."""
    with suppress(OSError, AttributeError):
        ctypes.CDLL(None).prctl(what, value)


def _limit(what: int, most: int) -> None:
    """Lower a limit; one that is lower already stays."""
    hard = resource.getrlimit(what)[1]
    lowest = most if hard == resource.RLIM_INFINITY else min(most, hard)
    resource.setrlimit(what, (lowest, lowest))
