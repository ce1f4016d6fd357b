"""Asks on the terminal for what nobody planned, as it is proposed: no price is asked for, none is shown.

Each size of a part is typed, or said to be that of the part that it is like: none is taken for granted.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from uuid6 import uuid7

from service.cli.terminal import Terminal
from service.engine.ground.messages import message

Body = dict[str, Any]
Part = Mapping[str, Any]


def proposals(job: Mapping[str, Any], terminal: Terminal, by: str) -> Iterator[Body]:
    """What was found, each as it would be posted."""
    parts = {each["label"]: each for each in job["cavities"]}
    while like := terminal.one_of(message("tally.not_planned"), parts):
        if said := _part(parts[like], terminal):
            yield _body(by, said)
    while text := terminal.line(message("tally.something_else")):
        quantity, unit = terminal.number(message("tally.how_much")), terminal.line(message("tally.unit"))
        if quantity and unit:
            yield _body(by, {"lines": [{"text": text, "quantity": quantity, "unit": unit}]})
        else:
            terminal.say(message("tally.not_proposed"))


def _body(by: str, said: Body) -> Body:
    return {"id": str(uuid7()), "by": by, **said}


def _part(like: Part, terminal: Terminal) -> Body | None:
    what = terminal.letter(message("tally.more_or_not", part=like["label"]), message("tally.more_letters"))
    gone = {"counts": [{"cavity": like["label"], "count": 0}]}
    if what == 2:
        return gone
    cavity = _cavity(like, terminal)
    if cavity is None:
        terminal.say(message("tally.not_proposed"))
        return None
    return {"cavities": [cavity], **(gone if what == 1 else {})}


def _cavity(like: Part, terminal: Terminal) -> Body | None:
    """A part made like this one, as far as its sizes were all said."""
    label = like["label"]
    name, place = terminal.line(message("tally.its_name")), terminal.line(message("tally.its_place"))
    sizes = [
        terminal.size(message("tally.width"), label, like["width_m"]),
        terminal.size(message("tally.height"), label, like["span_m"]),
        *(
            terminal.size(message("tally.layer", number=number), label, layer["depth_mm"])
            for number, layer in enumerate(like["layers"], start=1)
        ),
    ]
    if name is None or None in sizes:
        return None
    with_openings = bool(like["openings"]) and terminal.yes(message("tally.same_openings", part=label))
    return like_it(like, [size for size in sizes if size], with_openings) | _said(label=name, place=place)


def like_it(like: Part, sizes: list[float], with_openings: bool) -> Body:
    """A part of these sizes (width, height, depths), made like another.

    What the other one was measured to be beside them is left out: its outline and the places of its
    openings in another width or height, its counted members in another width, the maker's R of another
    depth, what takes room in it.
    """
    width_m, span_m, *depths_mm = sizes
    resized = (width_m, span_m) != (like["width_m"], like["span_m"])
    layers = [
        _layer(layer, depth_mm, width_m != like["width_m"])
        for layer, depth_mm in zip(like["layers"], depths_mm, strict=True)
    ]
    deeper = depths_mm != [layer["depth_mm"] for layer in like["layers"]]
    left_out = {"displaced", *({"profile_m"} if resized else ()), *({"label_r"} if deeper else ())}
    kept = _without({name: value for name, value in like.items() if name not in left_out})
    openings = [_opening(each, resized) for each in like["openings"]] if with_openings else []
    sized = {"width_m": width_m, "span_m": span_m, "layers": layers, "openings": openings}
    return {**kept, **sized, "count": 1, "surveyed": "drawn"}


def _layer(layer: Part, depth_mm: float, other_width: bool) -> Body:
    framing = layer.get("framing")
    if framing and other_width and framing.get("spacing_mm"):
        framing = {name: value for name, value in framing.items() if name not in ("members", "members_at_m")}
    return dict(_without({**layer, "depth_mm": depth_mm, "framing": framing}))


def _opening(opening: Part, resized: bool) -> Body:
    placed = () if not resized else ("left_m", "sill_m")
    return dict(_without({name: value for name, value in opening.items() if name not in placed}))


def _without(value: Any) -> Any:
    """All of it without what nobody said."""
    match value:
        case dict():
            return {name: _without(each) for name, each in value.items() if each is not None}
        case list() | tuple():
            return [_without(each) for each in value]
    return value


def _said(**values: str | None) -> Body:
    return {name: value for name, value in values.items() if value is not None}
