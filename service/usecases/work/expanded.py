"""Build-ups that cavities name: their layers stand in the names' place before anything is worked out.

So a quote keeps the layers themselves, and a later version of the build-up changes nothing in it.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from service.engine.survey.build_up import MEMBERS, BuildUp
from service.errors import Fault, InvalidInput
from service.usecases.base.json import as_posted


def expanded(cavities: Sequence[Mapping[str, Any]], build_ups: Sequence[BuildUp]) -> list[Mapping[str, Any]]:
    """Posted cavities, each with the layers of the build-up that it names."""
    by_code = {each.code: _layers(each) for each in build_ups}
    return [_with_layers(cavity, by_code) for cavity in cavities]


def _with_layers(cavity: Mapping[str, Any], by_code: Mapping[str, Any]) -> Mapping[str, Any]:
    if "build_up" not in cavity:
        return cavity
    own = {name: value for name, value in cavity.items() if name != "build_up"}
    return {**own, **by_code[cavity["build_up"]]}


def _layers(built: BuildUp) -> dict[str, Any]:
    return {name: as_posted(getattr(built, name)) for name in MEMBERS}


def where_posted(error: InvalidInput, cavities: Sequence[Mapping[str, Any]]) -> InvalidInput:
    """The same faults, those of a build-up's layers at the name that was posted."""
    return InvalidInput(*(Fault(_place(fault.pointer, cavities), fault.detail) for fault in error.faults))


def _place(pointer: str, cavities: Sequence[Mapping[str, Any]]) -> str:
    match pointer.split("/"):
        case ["", "cavities", index, member, *_] if member in MEMBERS and "build_up" in cavities[int(index)]:
            return f"/cavities/{index}/build_up"
    return pointer
