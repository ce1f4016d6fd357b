"""A takeoff as a table on the terminal."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

HEAD = ("cavity", "element", "m2", "mm", "m3", "kg/m3", "kg", "bags", "method", "holes", "hours", "U")


def takeoff_table(found: Mapping[str, Any]) -> str:
    """Aligned columns, one line a cavity, and the whole below: what a short answer says."""
    rows = [HEAD, *(_row(cavity) for cavity in found["cavities"])]
    return "\n".join([aligned(rows), "", *_whole(found)])


def aligned(rows: Sequence[tuple[str, ...]]) -> str:
    """Rows as lines, in columns as wide as they must be."""
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return "\n".join(
        "  ".join(_aligned(text, width) for text, width in zip(row, widths, strict=True)) for row in rows
    )


def _row(cavity: Mapping[str, Any]) -> tuple[str, ...]:
    density, u_value = cavity["target_kg_m3"], cavity["u_value_w_m2k"]
    return (
        cavity["label"],
        cavity["element"],
        f"{cavity['net_area_m2']:.2f}",
        f"{cavity['depth_mm']:.0f}",
        f"{cavity['net_volume_m3']:.3f}",
        "open" if density is None else f"{density:.1f}",
        f"{cavity['mass_kg']:.1f}",
        f"{cavity['bags']:.1f}",
        cavity["method"],
        str(cavity["holes"]),
        f"{cavity['hours']:.1f}",
        "-" if u_value is None else f"{u_value:.3f}",
    )


def _aligned(text: str, width: int) -> str:
    return text.rjust(width) if text[:1].isdigit() else text.ljust(width)


def _whole(found: Mapping[str, Any]) -> Iterator[str]:
    price = found["price"]
    yield f"{found['mass_kg']:.0f} kg in {found['bags']} bags; {found['crew_hours']:.1f} crew hours."
    yield f"{found['holes']} holes, {found['samples']} samples, {found['tape_m']:.0f} m of tape."
    yield f"{price['total']} {price['currency']} with {price['tax_percent']} % tax ({price['net']} net)."
    yield f"{len(found['hold_points'])} kinds of hold points to answer before and after filling."
    yield from map(_nobodys, found["undeclared"])


def _nobodys(figure: Mapping[str, Any]) -> str:
    # Only now: a firm that declares all it works by needs no catalogues.
    from service.documents.wording.sentences import in_words

    return f"Nobody vouches for {in_words(figure['figure'])}: no certificate until the firm declares it."
