"""Figures as people are told them: to six significant digits."""

from typing import Any

DIGITS = 6
"""Significant digits of an answer's figures: a thousandth of what any of them is known to."""


def significant(figure: float) -> float:
    """A figure to its significant digits; whole numbers stay as they are."""
    return float(f"{figure:.{DIGITS}g}") if isinstance(figure, float) else figure


def rounded(plain: Any) -> Any:
    """Plain JSON with all of its figures rounded, such as a message's quantities."""
    if isinstance(plain, dict):
        return {name: rounded(value) for name, value in plain.items()}
    if isinstance(plain, list):
        return [rounded(value) for value in plain]
    return significant(plain)
