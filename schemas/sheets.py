"""What stands in a survey's sheets: a quote without its cavities, a cavity in a row, a build-up in a row."""

from schemas.build_ups import NamedBuildUp
from schemas.cavities import CavityBody, within
from schemas.estimates import AREA_M2
from schemas.quotes import QuoteBody


class HeadSheet(QuoteBody):
    """A quote's head: everything but its cavities."""

    class Meta:
        """What stands in another sheet."""

        exclude = ("cavities",)


class SurveySheet(CavityBody):
    """A cavity in a row; its width may be said by its area and its span."""

    area_m2 = within(AREA_M2, metadata={"description": "In the place of the width: openings included (m2)"})


class BuildUpSheet(NamedBuildUp):
    """A build-up in a row, for the cavities of its file alone."""

    class Meta:
        """In this order; day and name are the library's alone."""

        fields = ("code", "layers", "outside", "inside")
