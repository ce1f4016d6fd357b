"""gunicorn's arbiter with one more child: the worker that makes documents, started anew when it dies."""

import logging
import os
import signal
import time
from contextlib import suppress

from gunicorn.arbiter import Arbiter

from service.serve import worker

log = logging.getLogger("baywright")

# What a stopping server has begun has this long to end.
GRACE_S = 30
# One that cannot live is not started more often.
STARTS_EVERY_S = 5


class WithWorker(Arbiter):
    """Serves, and sees to it that a worker runs beside the processes that answer requests."""

    works_as: int | None = None
    started = float("-inf")

    def manage_workers(self) -> None:
        """Start what is missing; gunicorn asks every second, and when a child has ended."""
        super().manage_workers()
        if not self._works() and time.monotonic() - self.started > STARTS_EVERY_S:
            self.started = time.monotonic()
            self.works_as = self._start()

    def stop(self, graceful: bool = True) -> None:
        """End everything; the worker ends what it has begun, as far as there is time."""
        deadline = time.monotonic() + (GRACE_S if graceful else 0)
        self._send(signal.SIGTERM)
        super().stop(graceful)
        while self._works() and time.monotonic() < deadline:
            time.sleep(0.05)
        self._send(signal.SIGKILL)

    def _works(self) -> bool:
        if self.works_as is None:
            return False
        try:
            return os.waitpid(self.works_as, os.WNOHANG)[0] == 0
        except ChildProcessError:
            # gunicorn reaps every child.
            return False

    def _send(self, ending: int) -> None:
        if self.works_as is not None:
            with suppress(ProcessLookupError):
                os.kill(self.works_as, ending)

    def _start(self) -> int:
        parent = os.getpid()
        if child := os.fork():
            return child
        # What a fork takes along and a worker must not have: signals, and the address.
        status = 1
        try:
            for ending in self.SIGNALS:
                signal.signal(ending, signal.SIG_DFL)
            signal.signal(signal.SIGCHLD, signal.SIG_DFL)
            for listener in self.LISTENERS:
                listener.close()
            worker.work(self.app.settings, parent=parent)
            status = 0
        except Exception:
            log.exception("the worker ended by an error")
        finally:
            os._exit(status)
