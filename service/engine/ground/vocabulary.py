"""The words of the trade that the service knows, each with one spelling."""

from enum import StrEnum

LANGUAGES = ("en", "de")
"""What documents, pages and answers can be worded in, and so what a firm's own texts are given in."""


class Element(StrEnum):
    """The part of the envelope that a cavity belongs to."""

    WALL = "wall"
    FLOOR = "floor"
    ROOF_SLOPE = "roof_slope"
    ATTIC = "attic"


class Fill(StrEnum):
    """How the material lies: blown tight in a closed cavity, or loose on an open floor."""

    DENSE = "dense"
    OPEN = "open"


class Facing(StrEnum):
    """The side that the fill goes through."""

    MEMBRANE = "membrane"
    BOARD = "board"
    NETTING = "netting"
    LINING = "lining"
    NONE = "none"


class Runs(StrEnum):
    """Whether members stand along the span of the cavity or across it."""

    ALONG = "along"
    ACROSS = "across"


class Surveyed(StrEnum):
    """How a cavity's sizes came about: measured on site, taken from drawings, or estimated from areas."""

    COUNTED = "counted"
    DRAWN = "drawn"
    ESTIMATED = "estimated"


class Method(StrEnum):
    """Ways of filling a cavity."""

    HOSE = "hose"
    SEVERAL_HOSES = "several_hoses"
    DIVIDED_BAYS = "divided_bays"
    LANCE = "lance"
    OPEN_BLOW = "open_blow"


class Market(StrEnum):
    """Whose rules of disclosure and units a practice profile follows."""

    EU = "eu"
    US = "us"


class Standing(StrEnum):
    """How well a figure is known.

    `published`: read in the document itself. `second_hand`: read where another
    quotes it. `derived`: follows by arithmetic. `common_practice`: what the
    trade does, without a source. `from_memory`: not read; never decides alone.
    `declared`: the maker's, or the contractor's own, word.
    """

    PUBLISHED = "published"
    SECOND_HAND = "second_hand"
    DERIVED = "derived"
    COMMON_PRACTICE = "common_practice"
    FROM_MEMORY = "from_memory"
    DECLARED = "declared"


class Shape(StrEnum):
    """What a sample is taken with."""

    CORE = "core"
    BLOCK = "block"
    BOX = "box"


class Feel(StrEnum):
    """What a hand pressed on the fill finds: it resists and recovers, or it gives way."""

    FIRM = "firm"
    GIVES_WAY = "gives_way"


class FoundBy(StrEnum):
    """How an achieved density is known."""

    MASS_BALANCE = "mass_balance"
    SAMPLE = "sample"
    COMBINED = "combined"


class Proof(StrEnum):
    """What can prove the density of a compartment, cheapest first."""

    BAGS = "bags"
    RUN_EMPTY_OR_WEIGHED = "run_empty_or_weighed"
    NOTED_TOGETHER_AND_SAMPLED = "noted_together_and_sampled"
    NOTED_TOGETHER_RUN_EMPTY_AND_SAMPLED = "noted_together_run_empty_and_sampled"
    CORE_IN_EACH_BAY = "core_in_each_bay"


class Purpose(StrEnum):
    """Why the membrane or board was cut."""

    ENTRY = "entry"
    SAMPLE = "sample"
    INSPECTION = "inspection"
    SERVICE = "service"


class BagsAre(StrEnum):
    """What a tally's bags are where fills of the part came before it."""

    TOTAL = "total"
    BESIDES = "besides"


class BayState(StrEnum):
    """How a bay was met that could not be filled as planned."""

    FULL = "full"
    BLOCKED = "blocked"
    ABSENT = "absent"


class Verdict(StrEnum):
    """The outcome of a conformity assessment (JCGM 106)."""

    CONFORMING = "conforming"
    INCONCLUSIVE = "inconclusive"
    NON_CONFORMING = "non_conforming"


class Answer(StrEnum):
    """What a hold point was answered with."""

    CLEAR = "clear"
    DEALT_WITH = "dealt_with"
    NOT_APPLICABLE = "not_applicable"
    STOPPED = "stopped"


class Stage(StrEnum):
    """When something is due: before filling, or after it."""

    BEFORE = "before"
    AFTER = "after"


class Condensation(StrEnum):
    """What becomes, over a year, of vapour that condenses inside an element (ISO 13788)."""

    NONE = "none"
    DRIES = "dries"
    REMAINS = "remains"


class ConditionCode(StrEnum):
    """What can stand in the way of a certificate."""

    FILL_MISSING = "fill_missing"
    COUNTED_TWICE = "counted_twice"
    LOT_MISSING = "lot_missing"
    MATERIAL_NOT_OFFERED = "material_not_offered"
    SPILL_MISSING = "spill_missing"
    UNCERTAINTY_UNDECLARED = "uncertainty_undeclared"
    DENSITY_NON_CONFORMING = "density_non_conforming"
    DENSITY_INCONCLUSIVE = "density_inconclusive"
    DENSITY_CONTRADICTION = "density_contradiction"
    SAMPLES_MISSING = "samples_missing"
    PATCH_MISSING = "patch_missing"
    PATCH_TOO_SMALL = "patch_too_small"
    HOLES_UNACCOUNTED = "holes_unaccounted"
    HOLD_POINT_OPEN = "hold_point_open"
    HOLD_POINT_LATE = "hold_point_late"
    CHECK_STOPPED = "check_stopped"
    READING_MISSING = "reading_missing"
    STOCK_UNRECONCILED = "stock_unreconciled"
    LOADING_EXCEEDED = "loading_exceeded"
    DEPTH_CHECK_MISSING = "depth_check_missing"
    MARKERS_MISSING = "markers_missing"
    PART_NOT_ACCEPTED = "part_not_accepted"


class Subject(StrEnum):
    """What a condition is about that is no part, space, bay, point or day."""

    MASS_PER_AREA = "mass_per_area"
    THICKNESS = "thickness"
    STOCK = "stock"
    DELIVERY = "delivery"


class QuoteState(StrEnum):
    """How far a quote has come."""

    DRAFT = "draft"
    OFFERED = "offered"
    ACCEPTED = "accepted"
    WITHDRAWN = "withdrawn"
    SUPERSEDED = "superseded"
    LAPSED = "lapsed"


class JobState(StrEnum):
    """How far a job has come."""

    OPEN = "open"
    CERTIFIED = "certified"
    CLOSED = "closed"


class Numbered(StrEnum):
    """What has a number for people."""

    QUOTE = "quote"
    JOB = "job"
    CERTIFICATE = "certificate"


class Sealed(StrEnum):
    """What is issued and sealed."""

    OFFER = "offer"
    OFFER_WITHDRAWAL = "offer_withdrawal"
    ACCEPTANCE = "acceptance"
    JOB = "job"
    ASSIGNMENT = "assignment"
    ENTRY = "entry"
    PHOTO = "photo"
    CONCESSION = "concession"
    CERTIFICATE = "certificate"
    SUPERSESSION = "supersession"
    WITHDRAWAL = "withdrawal"
    CLOSURE = "closure"
    ERASURE = "erasure"
    QUOTE_FILE = "quote_file"
    CREW_SHEET_FILE = "crew_sheet_file"
    CERTIFICATE_FILE = "certificate_file"
    SUPPLEMENT = "supplement"
    SUPPLEMENT_STEP = "supplement_step"
    SUPPLEMENT_FILE = "supplement_file"


class Journalled(StrEnum):
    """What a firm's journal notes."""

    QUOTE = "quote"
    FIRM = "firm"
    CREW = "crew"
    KEY = "key"
    LINK = "link"
    IMPORT = "import"
    ANCHOR = "anchor"
    MATERIALS = "materials"
    BUILD_UPS = "build_ups"
    PRICE_LISTS = "price_lists"
    LANCES = "lances"
    PRACTICES = "practices"


class SupplementState(StrEnum):
    """How far a supplement has come."""

    PROPOSED = "proposed"
    OFFERED = "offered"
    ACCEPTED = "accepted"
    REFUSED = "refused"
    WITHDRAWN = "withdrawn"


class EventKind(StrEnum):
    """What happens that a firm's other systems want to know."""

    QUOTE_OFFERED = "quote.offered"
    QUOTE_ACCEPTED = "quote.accepted"
    JOB_PART_DONE = "job.part_done"
    JOB_READY = "job.ready"
    CERTIFICATE_ISSUED = "certificate.issued"
    CERTIFICATE_SUPERSEDED = "certificate.superseded"
    CERTIFICATE_WITHDRAWN = "certificate.withdrawn"


class TaxCase(StrEnum):
    """How an offer is taxed."""

    STANDARD = "standard"
    REDUCED = "reduced"
    REVERSE_CHARGE = "reverse_charge"
    EXEMPT = "exempt"


class CourseKind(StrEnum):
    """What heat passes on its way out of a building, from the outside in."""

    OUTER_SURFACE = "outer_surface"
    LAYER = "layer"
    FILL = "fill"
    INNER_SURFACE = "inner_surface"
