"""A real server that goes no further at a step between a certificate's record and its file.

`python -m tests.stalled STEP PORT` serves the database of the environment's settings, and
says "stalled" on its standard output when it has come to the step.
"""

import signal
import sys
from typing import NoReturn

from service.documents.papers import certificate
from service.serve.server import serve
from service.settings import from_environment
from service.store import files

STEPS = {"render": (certificate, "printed"), "attach": (files, "attach")}
"""The record is committed before each; at `attach` the transaction that adds the file is open."""


def _stall(*_: object, **__: object) -> NoReturn:
    print("stalled", flush=True)
    while True:
        signal.pause()


if __name__ == "__main__":
    module, name = STEPS[sys.argv[1]]
    setattr(module, name, _stall)
    serve(from_environment(), host="127.0.0.1", port=int(sys.argv[2]), workers=1)
