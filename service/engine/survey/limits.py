"""The ranges of what a survey holds, each said once: for what is posted, for refusals and for arithmetic.

They are wider than any building. They are there so that a slip of the unit is found and so
that no figure can overflow.
"""

from service import settings

IN_PLANE_M = (0.001, 1000.0)
PLACE_M = (0.0, 1000.0)
TIMBER_MM = (0.1, 10_000.0)
NONE_OR_MM = (0.0, 10_000.0)
THICKNESS_MM = (0.01, 10_000.0)
CONDUCTIVITY_W_MK = (0.001, 1000.0)
RESISTANCE_M2K_W = (0.0, 100.0)
SD_M = (0.0001, 100_000.0)
DISPLACED_M3 = (0.0, 1_000_000.0)
SHARE = (0.0, 1.0)
PITCH_DEG = (0.0, 90.0)

MOST_CAVITIES = settings.MOST_CAVITIES
MOST_COUNT = MOST_CAVITIES
MOST_LAYERS = 6
MOST_OPENINGS = 50
MOST_DISPLACED = 50
MOST_BESIDE = 12
LEAST_POINTS = 2
MOST_POINTS = 20
MOST_PARTS = 300
MOST_ROWS = MOST_PARTS - 1
LEAST_MEMBERS = 2
MOST_MEMBERS = MOST_PARTS + 1
LONGEST_LABEL = 80

# Of a firm: part of its numbers, and of the name of the file with its signing key.
FIRM_CODE = "[a-z][a-z0-9]{1,19}"
