"""A build-up by its name: the layers of an element that a firm builds or meets again and again."""

from dataclasses import dataclass
from typing import Annotated

from service.engine.survey.cavity import BuildUpLayer, Layer


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildUp:
    """What stands in a cavity's place of `layers`, `inside` and `outside`, all from the outside in."""

    code: Annotated[str, "code that cavities name it by"]
    name: Annotated[str, "what the firm calls it"]
    layers: Annotated[tuple[Layer, ...], "the depth of the cavity, from the outside in"]
    inside: Annotated[tuple[BuildUpLayer, ...], "layers inside the cavity, from the outside in"] = ()
    outside: Annotated[tuple[BuildUpLayer, ...], "layers outside the cavity, from the outside in"] = ()


MEMBERS = ("layers", "inside", "outside")
"""What a cavity takes over from the build-up that it names."""
