"""Figures as the reader of each market expects them.

The record is in SI units. A `eu` document prints those, a `us` document US customary
units. Nothing is computed here but units and rounding, and of that there is one way: to
the places that a kind of quantity has, a least value upwards. Factors follow from the
international foot and pound (exact) and the international table Btu of 1055.055 852 62 J
(exact).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from math import ceil, floor, log10
from typing import Any
from zoneinfo import ZoneInfo

from babel.dates import format_date

from service.documents.wording.languages import Language

MM_PER_INCH = 25.4
M_PER_FOOT = 0.3048
KM_PER_MILE = 1.609344
KG_PER_POUND = 0.45359237
JOULE_PER_BTU = 1055.05585262
WATT_PER_BTU_H = JOULE_PER_BTU / 3600
KELVIN_PER_FAHRENHEIT = 5 / 9
M2K_W_PER_US_R = M_PER_FOOT**2 * KELVIN_PER_FAHRENHEIT / WATT_PER_BTU_H

MINUS = "\u2212"


@dataclass(frozen=True, slots=True)
class Figure:
    """A number with its unit."""

    number: str
    unit: str

    def __str__(self) -> str:
        return f"{self.number} {self.unit}".strip()


@dataclass(frozen=True, slots=True)
class Kind:
    """How one kind of quantity is written: SI, and US customary with its factor."""

    unit: str
    places: int
    us_unit: str
    us_places: int
    us_per_unit: float


AREA = Kind("m²", 1, "ft²", 0, M_PER_FOOT**-2)
VOLUME = Kind("m³", 2, "ft³", 0, M_PER_FOOT**-3)
LENGTH = Kind("m", 2, "ft", 1, 1 / M_PER_FOOT)
DEPTH = Kind("mm", 0, "in", 1, 1 / MM_PER_INCH)
THICKNESS = Kind("mm", 1, "in", 2, 1 / MM_PER_INCH)
MASS = Kind("kg", 1, "lb", 0, 1 / KG_PER_POUND)
# A short bay takes a pound or three: whole pounds would send its density past a limit.
PORTION = Kind("kg", 1, "lb", 1, 1 / KG_PER_POUND)
DENSITY = Kind("kg/m³", 1, "lb/ft³", 2, M_PER_FOOT**3 / KG_PER_POUND)
LOADING = Kind("kg/m²", 2, "lb/ft²", 2, M_PER_FOOT**2 / KG_PER_POUND)
RESISTANCE = Kind("m²K/W", 2, "ft²·h·°F/Btu", 1, 1 / M2K_W_PER_US_R)
TRANSMITTANCE = Kind("W/m²K", 3, "Btu/(h·ft²·°F)", 3, M2K_W_PER_US_R)
LEAKAGE = Kind("m³/(h·m²)", 2, "cfm/ft²", 3, M_PER_FOOT**-1 / 60)
TRAVEL = Kind("km", 0, "mi", 1, 1 / KM_PER_MILE)
CONDUCTIVITY = Kind("W/mK", 3, "Btu·in/(h·ft²·°F)", 2, M2K_W_PER_US_R * 1000 / MM_PER_INCH)
KINDS = {
    "area": AREA,
    "depth": DEPTH,
    "density": DENSITY,
    "loading": LOADING,
    "mass": MASS,
    "resistance": RESISTANCE,
    "transmittance": TRANSMITTANCE,
}
"""Kinds by the names that templates have for them."""
COUNTED = {"kg": MASS, "m": LENGTH, "m2": AREA, "km": TRAVEL}
"""Units of a price's lines that another market counts otherwise."""


class Units:
    """Writes figures for one market, `eu` or `us`, in one language, and times in one `zone`."""

    def __init__(self, market: str, language: str = "en", zone: str = "UTC") -> None:
        self.us = market == "us"
        self.language = Language(language, market)
        self._zone = ZoneInfo(zone)
        self._marks = str.maketrans(
            {",": self.language.thousands, ".": self.language.decimal_mark, "-": MINUS}
        )

    @classmethod
    def of(cls, facts: Mapping[str, Any]) -> "Units":
        """As the reader of a paper with these facts expects them; times are those of the firm's place."""
        return cls(facts["market"], facts["language"], facts["firm"].get("time_zone") or "UTC")

    def date(self, text: str) -> str:
        """The day of an ISO date, or of an RFC 3339 time where the firm is, with its month in letters."""
        return self.language.date(self._local(text).date())

    def day(self, text: str) -> str:
        """The same, short, for tables."""
        return format_date(self._local(text).date(), "medium", locale=self.language.locale)

    def time(self, text: str) -> str:
        """An RFC 3339 time where the firm is: the day, the hour and the zone."""
        local = self._local(text)
        return f"{self.day(text)}, {local:%H:%M} {local:%Z}"

    def hour(self, text: str) -> str:
        """The hour alone."""
        return f"{self._local(text):%H:%M}"

    def _local(self, text: str) -> datetime:
        moment = datetime.fromisoformat(text)
        return moment.astimezone(self._zone) if moment.tzinfo else moment

    def number(self, value: float | Decimal, places: int = 0) -> str:
        """A plain number with this many decimals and a real minus sign."""
        return f"{value:,.{places}f}".translate(self._marks)

    def figure(self, kind: Kind, value: float) -> Figure:
        """A quantity given in SI."""
        if not self.us:
            return Figure(self.number(value, kind.places), kind.unit)
        return Figure(self.number(value * kind.us_per_unit, kind.us_places), kind.us_unit)

    def least(self, kind: Kind, value: float) -> Figure:
        """A least value given in SI, rounded upwards: what is printed is never less than is asked for."""
        factor, places = (kind.us_per_unit, kind.us_places) if self.us else (1.0, kind.places)
        # A thousandth of the last place is floating-point dust, and no reason to ask for more.
        up = ceil(value * factor * 10**places - 1e-3) / 10**places
        return Figure(self.number(up, places), kind.us_unit if self.us else kind.unit)

    def uncertain(self, kind: Kind, value: float, expanded_u: float) -> Figure:
        """A quantity with its expanded uncertainty, both to the same digit (JCGM 100, 7.2.6)."""
        factor, unit = (kind.us_per_unit, kind.us_unit) if self.us else (1.0, kind.unit)
        most = kind.us_places if self.us else kind.places
        return Figure(self._plus_minus(value * factor, expanded_u * factor, most), unit)

    def _plus_minus(self, value: float, expanded_u: float, most: int) -> str:
        """Two digits of the uncertainty, but no more places than the kind is printed with: then one digit."""
        first = -floor(log10(expanded_u)) if expanded_u > 0 else most
        places = max(0, first, min(most, first + 1))
        return f"{self.number(value, places)} ± {self.number(expanded_u, places)}"

    def in_chart(self, kind: Kind, value: float) -> float:
        """The value in the unit that a chart's axis has in this market."""
        return value * kind.us_per_unit if self.us else value

    def area(self, m2: float) -> Figure:
        return self.figure(AREA, m2)

    def volume(self, m3: float) -> Figure:
        return self.figure(VOLUME, m3)

    def length(self, m: float) -> Figure:
        return self.figure(LENGTH, m)

    def depth(self, mm: float) -> Figure:
        return self.figure(DEPTH, mm)

    def thickness(self, mm: float) -> Figure:
        """The thickness of a sheet, finer than a depth."""
        figure = self.figure(THICKNESS, mm)
        return figure if self.us else Figure(self.count(mm), figure.unit)

    def thicknesses(self, ends: tuple[float, float]) -> Figure:
        """From the least to the greatest thickness; a single figure where both are printed alike."""
        return _from_to(*(self.thickness(end) for end in ends))

    def price_per(self, unit: str, quantity: str, price: str) -> tuple[str, str, str]:
        """Quantity, unit and unit price of a line as the market counts: kilograms or pounds, km or miles.

        The amount is the line's own: pounds are so many kilograms at so much less each.
        """
        kind = COUNTED.get(unit) if self.us else None
        if kind is None:
            return self._short(quantity), unit, self.decimal(price)
        each = Decimal(price) / Decimal(repr(kind.us_per_unit))
        return self.number(float(quantity) * kind.us_per_unit, 1), kind.us_unit, self.number(each, 4)

    def _short(self, quantity: str) -> str:
        """A quantity without the zeros that say nothing."""
        return self.decimal(format(Decimal(quantity).normalize(), "f"))

    def mass(self, kg: float) -> Figure:
        return self.figure(MASS, kg)

    def portion(self, kg: float) -> Figure:
        """The mass that goes into a single bay, finer than that of a part."""
        return self.figure(PORTION, kg)

    def density(self, kg_m3: float) -> Figure:
        return self.figure(DENSITY, kg_m3)

    def loading(self, kg_m2: float) -> Figure:
        return self.figure(LOADING, kg_m2)

    def resistance(self, m2k_w: float) -> Figure:
        return self.figure(RESISTANCE, m2k_w)

    def transmittance(self, w_m2k: float) -> Figure:
        return self.figure(TRANSMITTANCE, w_m2k)

    def conductivity(self, w_mk: float) -> Figure:
        return self.figure(CONDUCTIVITY, w_mk)

    def leakage(self, m3_h_m2: float) -> Figure:
        """Air that passes a square metre of the envelope in an hour at a set pressure."""
        return self.figure(LEAKAGE, m3_h_m2)

    def achieved(self, kg_m3: float, expanded_u_kg_m3: float) -> Figure:
        """A density with its expanded uncertainty."""
        return self.uncertain(DENSITY, kg_m3, expanded_u_kg_m3)

    def range(self, low_kg_m3: float, high_kg_m3: float) -> Figure:
        """A density window from its lowest to its highest."""
        return self.span(DENSITY, (low_kg_m3, high_kg_m3))

    def span(self, kind: Kind, ends: tuple[float, float]) -> Figure:
        """From the least to the greatest; a single figure where both are printed alike."""
        return _from_to(*(self.figure(kind, end) for end in ends))

    def least_span(self, kind: Kind, ends: tuple[float, float]) -> Figure:
        """The same of least values, both rounded upwards."""
        return _from_to(*(self.least(kind, end) for end in ends))

    def count(self, value: float) -> str:
        """A number that is mostly whole, such as bags: a tenth only where there is one."""
        return self.number(value, 1).removesuffix(f"{self.language.decimal_mark}0")

    def percent(self, share: float) -> str:
        """A share of one in per cent, to a tenth."""
        return self.count(100 * share)

    def probability(self, p: float, undecided: tuple[float, float]) -> str:
        """A probability in per cent; it never reads as certainty, nor as decided between these."""
        if p < 0.001:
            return f"<\u00a0{self.number(0.1, 1)}"
        if p > 0.999:
            return f">\u00a0{self.number(99.9, 1)}"
        low, high = undecided
        if low < p < high:
            p = min(max(p, round(low, 3) + 0.001), round(high, 3) - 0.001)
        return self.percent(p)

    def outside(self, kind: Kind, value: float, window: tuple[float, float]) -> Figure:
        """A quantity that is held against a window: what lies outside is printed outside, however near."""
        factor, places = (kind.us_per_unit, kind.us_places) if self.us else (1.0, kind.places)
        low, high = (round(end * factor, places) for end in window)
        shown = round(value * factor, places)
        if value < window[0]:
            shown = min(shown, low - 10**-places)
        if value > window[1]:
            shown = max(shown, high + 10**-places)
        return Figure(self.number(shown, places), kind.us_unit if self.us else kind.unit)

    def read(self, value: float) -> str:
        """What somebody read off, with all the places that he gave."""
        return self.number(value, max(1, -int(Decimal(repr(value)).as_tuple().exponent)))

    def decimal(self, text: str) -> str:
        """A decimal string with the decimals that it has, never through a float."""
        value = Decimal(text)
        return self.number(value, max(0, -int(value.as_tuple().exponent)))

    def more(self, text: str) -> str:
        """How much more an amount is than another, with its sign."""
        sign = "" if not Decimal(text) else "−" if Decimal(text) < 0 else "+"
        return f"{sign}{self.decimal(text.lstrip('-'))}"

    def money(self, amount: str, currency: str) -> str:
        """A decimal string as an amount of money."""
        return f"{self.decimal(amount)} {currency}"


def _from_to(low: Figure, high: Figure) -> Figure:
    return high if low == high else Figure(f"{low.number}–{high.number}", high.unit)


def day(text: str) -> date:
    """The day of an ISO date or of an RFC 3339 time in UTC."""
    return datetime.fromisoformat(text).date()


def moment(text: str) -> datetime:
    """An RFC 3339 time in UTC."""
    return datetime.fromisoformat(text)
