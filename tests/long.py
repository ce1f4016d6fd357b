"""Short forms by default, long forms for `docker/dev slow`: the same tests with more rounds.

What is worth nothing in a short form is marked `slow` instead, and left out by default.
"""

import os

LONG = os.environ.get("BAYWRIGHT_TEST_LONG") == "1"


def rounds(short: int, long: int) -> int:
    """How many there are to be: of examples, rounds or seconds."""
    return long if LONG else short
