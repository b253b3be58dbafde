"""How does a figure stand on a page?  In the reader's units, with what is unknown said.

Only printing: every number comes from the core, every spelling from ``measure``.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final, Literal, get_args

from fellfare.measure.printing import (
    print_distance,
    print_energy,
    print_height,
    print_mass,
    print_temperature,
    print_volume,
)
from fellfare.measure.units import FOOT_M, KILOCALORIE_KJ, MILE_M, OUNCE_G
from fellfare.pantry.food import Trust
from fellfare.recipe.density import Share
from fellfare.recipe.sheet import Total

#: Whose measures the reader wants to see.
Units = Literal["metric", "us", "both"]
UNITS: Final[tuple[Units, ...]] = get_args(Units)

UNKNOWN: Final = "unknown"

#: How well a figure is known, in a word that stands beside it.
TRUSTS: Final[dict[Trust, str]] = {
    "measured": "measured",
    "tabulated": "tabulated",
    "written": "as written",
    "derived": "derived",
    "label": "by its label",
    "common-practice": "common practice",
    "memory": "from memory",
    "unknown": "unknown",
}


def read_units(text: str | None, otherwise: Units = "both") -> Units:
    """The reader's choice; what is not understood is passed over."""
    return next((one for one in UNITS if one == text), otherwise)


# The same amounts stand on page after page, in one system or in both, and printing them is exact.
_masses = lru_cache(8192)(print_mass)
_volumes = lru_cache(8192)(print_volume)


def mass(mass_g: float | None, units: Units) -> str:
    """'85 g', '3 oz', or '85 g (3 oz)'."""
    if mass_g is None:
        return UNKNOWN
    if units == "both":
        return f"{_masses(mass_g, 'metric').text} ({_masses(mass_g, 'us').text})"
    return _masses(mass_g, units).text


def volume(volume_ml: float | None, units: Units) -> str:
    """'240 ml', '1 cup', or both; cups that miss by more than 1½ % say so."""
    if volume_ml is None:
        return UNKNOWN
    if units == "metric":
        return _volumes(volume_ml, "metric").text
    us = _volumes(volume_ml, "us")
    cups = us.text + (f" {us.error:+.0%}" if abs(us.error) >= 0.015 else "")
    return cups if units == "us" else f"{_volumes(volume_ml, 'metric').text} ({cups})"


def temperature(temperature_c: float | None, units: Units) -> str:
    """'14 °C', '57 °F', or both."""
    if temperature_c is None:
        return UNKNOWN
    metric = print_temperature(temperature_c)
    us = print_temperature(temperature_c, "us")
    return {"metric": metric, "us": us, "both": f"{metric} ({us})"}[units]


def distance(distance_m: float | None, units: Units) -> str:
    """'12.3 km', '7.6 mi', or '12.3 km (7.6 mi)'."""
    if distance_m is None:
        return UNKNOWN
    metric, us = print_distance(distance_m), print_distance(distance_m, "us")
    return {"metric": metric, "us": us, "both": f"{metric} ({us})"}[units]


def height(height_m: float | None, units: Units) -> str:
    """'820 m', '2 690 ft', or both; of a climb too."""
    if height_m is None:
        return UNKNOWN
    metric, us = print_height(height_m), print_height(height_m, "us")
    return {"metric": metric, "us": us, "both": f"{metric} ({us})"}[units]


def far(distance_m: float, units: Units) -> float:
    """Miles for US readers, else kilometres: the number of a scale or a narrow column."""
    return distance_m / (float(MILE_M) if units == "us" else 1000.0)


def far_unit(units: Units) -> str:
    """The unit of :func:`far`: 'mi' or 'km'."""
    return "mi" if units == "us" else "km"


def high(height_m: float, units: Units) -> float:
    """Feet for US readers, else metres: the number of a scale or a narrow column."""
    return height_m / (float(FOOT_M) if units == "us" else 1.0)


def high_unit(units: Units) -> str:
    """The unit of :func:`high`: 'ft' or 'm'."""
    return "ft" if units == "us" else "m"


def energy(energy_kcal: float | None, units: Units) -> str:
    """'450 kcal'; with kilojoules where the reader's habit asks for them."""
    if energy_kcal is None:
        return UNKNOWN
    kcal = print_energy(energy_kcal)
    return kcal if units == "us" else f"{kcal} ({print_energy(energy_kcal, kj=True)})"


def density(energy_kcal_per_100g: float | None, units: Units) -> str:
    """Energy density as the reader compares foods: per 100 g, per ounce, or both."""
    if energy_kcal_per_100g is None:
        return UNKNOWN
    metric = f"{energy_kcal_per_100g:.0f} kcal/100 g"
    us = f"{energy_kcal_per_100g * float(OUNCE_G) / 100:.0f} kcal/oz"
    return {"metric": metric, "us": us, "both": f"{us} ({metric})"}[units]


def per_100g(energy_kcal_per_100g: float | None) -> str:
    """The bare figure for a column of kcal/100 g."""
    return "?" if energy_kcal_per_100g is None else f"{energy_kcal_per_100g:.0f}"


def per_oz(energy_kcal_per_100g: float | None) -> str:
    """The bare figure for a column of kcal/oz."""
    known = energy_kcal_per_100g
    return "?" if known is None else f"{known * float(OUNCE_G) / 100:.0f}"


def spread(total: Total, places: int, unit: str) -> str:
    """'17.9 g'; '17.9 to 20.4 g' or 'at least 17.9 g' where part of it is unknown."""
    least = f"{total.value:.{places}f}"
    if not total.anything:
        return UNKNOWN if total.most is None else f"at most {total.most:.{places}f} {unit}"
    if not total.unknown:
        return f"{least} {unit}"
    if total.most is None:
        return f"at least {least} {unit}"
    return f"{least} to {total.most:.{places}f} {unit}"


def energy_spread(total: Total, units: Units) -> str:
    """As :func:`spread`, for energy."""
    most = total.most
    if not total.anything:
        return UNKNOWN if most is None else f"at most {energy(most, units)}"
    if not total.unknown:
        return energy(total.value, units)
    if most is None:
        return f"at least {energy(total.value, units)}"
    span = f"{total.value:.0f} to {most:.0f} kcal"
    kj = float(KILOCALORIE_KJ)
    return span if units == "us" else f"{span} ({total.value * kj:.0f} to {most * kj:.0f} kJ)"


def share(part: Share) -> str:
    """'48 %', '44 to 48 %', or 'at least 44 %' where a part of it has no upper end."""
    if part.known:
        return f"{100 * part.low:.0f} %"
    if part.high is None:
        return f"at least {100 * part.low:.0f} %"
    return f"{100 * part.low:.0f} to {100 * part.high:.0f} %"


def minutes(least: float | None, most: float | None = None) -> str:
    """'10 min', '10 to 15 min', '1 h 30 min'."""
    if least is None:
        return UNKNOWN
    if most is not None and most > least:
        return f"{least:g} to {most:g} min"
    if least >= 60:
        hours, rest = divmod(round(least), 60)
        return f"{hours} h" + (f" {rest} min" if rest else "")
    return f"{least:g} min"


def trust(how: Trust) -> str:
    """The word for how well a figure is known."""
    return TRUSTS[how]
