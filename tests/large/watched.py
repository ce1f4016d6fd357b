"""What processes took: the most memory of each, and the time of the processor, by the kernel's own count."""

import os
import re
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

HIGHEST = re.compile(r"VmHWM:\s+(\d+) kB")
LOOKS_EVERY_S = 0.02
TICKS_A_SECOND = os.sysconf("SC_CLK_TCK")
GONE = (FileNotFoundError, ProcessLookupError)


class Watched:
    """A process and all that come from it."""

    def __init__(self, pid: int) -> None:
        self.pid = pid
        self.highest: dict[int, int] = {}
        self._enough = threading.Event()

    @contextmanager
    def looking(self) -> Iterator[None]:
        """Look again and again, also at those that come and go."""
        looks = threading.Thread(target=self._look_on, daemon=True)
        looks.start()
        try:
            yield
        finally:
            self._enough.set()
            looks.join()

    def most_mib(self) -> float:
        """The most memory that any one of them had at any time since this was last asked, in MiB."""
        self._look()
        most = max(self.highest.values(), default=0) / 1024
        self.highest.clear()
        for pid in family(self.pid):
            with suppress(*GONE, PermissionError):
                # proc(5): the highest is counted anew from here on.
                Path(f"/proc/{pid}/clear_refs").write_text("5", encoding="ascii")
        return most

    def processor_s(self) -> float:
        """What all of them have spent, those that have ended and were waited for too."""
        return sum(map(_spent_s, family(self.pid)))

    def _look_on(self) -> None:
        while not self._enough.wait(LOOKS_EVERY_S):
            self._look()

    def _look(self) -> None:
        for pid in family(self.pid):
            self.highest[pid] = max(self.highest.get(pid, 0), _highest_kib(pid))


def family(pid: int) -> list[int]:
    """A process and all that come from it, as they are just now."""
    with suppress(*GONE):
        children = Path(f"/proc/{pid}/task/{pid}/children").read_text(encoding="ascii").split()
        return [pid, *(each for child in children for each in family(int(child)))]
    return []


def _highest_kib(pid: int) -> int:
    with suppress(*GONE):
        found = HIGHEST.search(Path(f"/proc/{pid}/status").read_text(encoding="utf-8"))
        return int(found[1]) if found else 0
    return 0


def _spent_s(pid: int) -> float:
    with suppress(*GONE):
        # proc(5): utime, stime and their children's are the 14th to 17th; the name may hold blanks.
        fields = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
        return sum(map(int, fields[11:15])) / TICKS_A_SECOND
    return 0.0
