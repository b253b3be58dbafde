"""What did the walker write?  Heights, temperatures, shares and times, read strictly.

A bare number is metric.  What two people could read as two numbers is refused,
and the refusal says what to write instead.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from math import isfinite
from typing import Any, Final, NoReturn

import click

from fellfare.camp import Span, next_time
from fellfare.measure import Amount, read_amount
from fellfare.mistake import Mistake

#: International foot, exact [NIST-SP-811 B.8].
FOOT_M: Final = 0.3048
#: Colder and hotter than anything that is met on foot [°C].
LEAST_C: Final = -90.0
MOST_C: Final = 110.0
#: A band of times longer than this is more likely a slip than a plan [min].
MOST_BAND_MIN: Final = 12 * 60.0

_LONGEST: Final = 60
_NUMBER: Final = re.compile(r"([+-]?\d{1,7}(?:[.,]\d{1,6})?)\s*(\D.*)?")
_GROUPED: Final = re.compile(r"([+-]?\d{1,3})[ ,'](\d{3})(?![\d.,])")
_CLOCK: Final = r"\d{1,2}(?:[:.]\d{2})?\s*(?:[ap]\.?m\.?)?"
_ONE_CLOCK: Final = re.compile(r"(\d{1,2})(?:[:.](\d{2}))?\s*(?:([ap])\.?m\.?)?", re.IGNORECASE)
_TO: Final = r"\s*(?:-|to|until)\s*"
_CLOCK_BAND: Final = re.compile(rf"({_CLOCK})(?:{_TO}({_CLOCK}))?", re.IGNORECASE)
_NAMED_BAND: Final = re.compile(rf"(.*?\S)\s+({_CLOCK}(?:{_TO}{_CLOCK})?)", re.IGNORECASE)
_MINUTES_BAND: Final = re.compile(
    rf"(\d{{1,5}})(?:{_TO}(\d{{1,5}}))?\s*(?:min|mins|minutes?)?", re.IGNORECASE
)

_METRES: Final = ("m", "metre", "metres", "meter", "meters")
_FEET: Final = ("ft", "feet", "foot", "'")
_CELSIUS: Final = ("c", "°c", "° c", "celsius")
_FAHRENHEIT: Final = ("f", "°f", "° f", "fahrenheit")


def given(
    reader: Callable[[str], object],
) -> Callable[[click.Context, click.Parameter, Any], Any]:
    """A click callback: reads one text, or each of several, and says where it stood."""

    def read(ctx: click.Context, param: click.Parameter, value: Any) -> Any:
        if value is None:
            return None
        where = param.opts[0] if isinstance(param, click.Option) else param.make_metavar(ctx)
        try:
            return tuple(map(reader, value)) if isinstance(value, tuple) else reader(value)
        except Mistake as mistake:
            raise mistake.at(where.strip("[].")) from None

    return read


def read_altitude_m(text: str) -> float:
    """'4200', '4200 m', '13,800 ft', '4.2 km' → metres.

    Thousands may be set apart here ('13,800'): nobody knows a height to the millimetre.
    """
    plain = _GROUPED.sub(r"\1\2", _plain(text), count=1)
    scales = {
        **dict.fromkeys(("", *_METRES), (1.0, 0.0)),
        **dict.fromkeys(_FEET, (FOOT_M, 0.0)),
        "km": (1000.0, 0.0),
    }
    return _quantity("altitude", text, plain, scales, "4200, '4200 m' or '13800 ft'")


def read_temperature_c(text: str) -> float:
    """'8', '8 °C', '46F' → degrees Celsius."""
    scales = {
        **dict.fromkeys(("", *_CELSIUS), (1.0, 0.0)),
        **dict.fromkeys(_FAHRENHEIT, (5.0 / 9.0, -160.0 / 9.0)),
    }
    value = _quantity("temperature", text, _plain(text), scales, "8, '8 °C' or '46 °F'")
    if not LEAST_C <= value <= MOST_C:
        raise Mistake(
            "temperature-out-of-range",
            what=f"{value:.0f} °C is no temperature of water, air or snow in camp",
            mend=f"give {LEAST_C:.0f} to {MOST_C:.0f} °C; a reading in Fahrenheit wants its F",
        )
    return value


def read_share(text: str) -> float:
    """'15%' or '0.15' → 0.15; a bare number above 1 is refused."""
    scales = {"": (1.0, 0.0), "%": (0.01, 0.0), "percent": (0.01, 0.0), "per cent": (0.01, 0.0)}
    plain = _plain(text)
    share = _quantity("share", text, plain, scales, "15% or 0.15")
    if plain[-1:].isdigit() and share > 1.0:
        _refuse("share", text, f"write {plain}% for that many in a hundred")
    return share


def read_minutes(text: str) -> float:
    """'10', '10 min', '1.5 h' → minutes."""
    scales = {
        **dict.fromkeys(("", "min", "mins", "minute", "minutes"), (1.0, 0.0)),
        **dict.fromkeys(("h", "hour", "hours"), (60.0, 0.0)),
    }
    return _quantity("time", text, _plain(text), scales, "'10 min' or '1.5 h'")


def read_hpa(text: str) -> float:
    """'-15', '-15 hPa', '-0.4 inHg' → hectopascal."""
    scales = {
        **dict.fromkeys(("", "hpa", "mbar", "mb"), (1.0, 0.0)),
        "inhg": (33.86389, 0.0),  # at 32 F, NIST SP 811 (2008) B.8
    }
    return _quantity("pressure", text, _plain(text), scales, "-15 or '-15 hPa'")


def read_water_ml(text: str) -> float:
    """'500ml', '2L', '2 cups', '500 g' → millilitres; 1 g of water is taken as 1 mL."""
    amount = _one(text, "'500 ml', '2 l' or '2 cups'")
    found = amount.volume_ml if amount.volume_ml is not None else amount.mass_g
    if found is None:
        _refuse("amount of water", text, "write '500 ml', '2 l' or '2 cups'")
    return float(found)


def read_water_or_none_ml(text: str) -> float:
    """As :func:`read_water_ml`, and '0' is none."""
    return 0.0 if re.fullmatch(r"0\s*(?:ml|l|g)?", _plain(text).lower()) else read_water_ml(text)


def read_mass_g(text: str) -> float:
    """'120', '120 g', '4 oz' → grams; 0 is a mass too."""
    bare = re.fullmatch(r"\d{1,6}(?:\.\d{1,6})?", _plain(text).removesuffix("g").rstrip())
    if bare:
        return float(bare[0])
    amount = _one(text, "'120 g' or '4 oz'")
    if amount.mass_g is None:
        _refuse("mass", text, "write '120 g' or '4 oz'")
    return float(amount.mass_g)


def read_mass_difference_g(text: str) -> float:
    """'40 g' more or '-40 g' less → grams."""
    plain = _plain(text)
    if plain.startswith("-"):
        return -read_mass_g(plain.removeprefix("-").lstrip())
    return read_mass_g(plain.removeprefix("+").lstrip())


def read_clock_min(text: str) -> float:
    """'17:30', '5:30 pm' → minutes after midnight."""
    found = _ONE_CLOCK.fullmatch(_plain(text))
    if not found or (found[2] is None and found[3] is None):
        _refuse("time of day", text, "write 17:30 or 5:30pm")
    hour, minute, half = int(found[1]), int(found[2] or 0), (found[3] or "").lower()
    if minute > 59 or hour > (12 if half else 23) or (half and hour == 0):
        _refuse("time of day", text, "hours run from 0 to 23 (1 to 12 with am or pm)")
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    return hour * 60.0 + minute


def read_clock_band(text: str) -> Span:
    """'17:30-18:30' → from the early to the late end; over midnight goes on beyond 1440."""
    found = _CLOCK_BAND.fullmatch(_plain(text))
    if not found:
        _refuse("band of times", text, "write 17:30-18:30, or one time")
    early = read_clock_min(found[1])
    late = next_time(read_clock_min(found[2]), early) if found[2] else early
    if late - early > MOST_BAND_MIN:
        _refuse("band of times", text, "give the early time first, at most 12 hours apart")
    return Span(early=early, late=late)


def read_named_band(text: str) -> tuple[str, Span]:
    """'spring 14:40-15:10' → the name and the band of times."""
    found = _NAMED_BAND.fullmatch(_plain(text))
    if not found:
        _refuse("water point", text, "write its name and when you pass: 'spring 14:40-15:10'")
    return found[1], read_clock_band(found[2])


def read_minutes_band(text: str) -> Span:
    """'40-75', '60 min' → from the low to the high end [min]."""
    found = _MINUTES_BAND.fullmatch(_plain(text))
    if not found:
        _refuse("band of minutes", text, "write 40-75, or one number of minutes")
    low = float(found[1])
    high = float(found[2]) if found[2] else low
    if high < low:
        _refuse("band of minutes", text, "give the shorter time first")
    return Span(early=low, late=high)


def _plain(text: str) -> str:
    """Typographer's spaces, minus and dashes as ours; anything overlong is cut off."""
    swapped = text[: _LONGEST + 1].translate(
        {0x2212: "-", 0x2013: "-", 0x2019: "'", 0x00A0: " ", 0x202F: " ", 0x2009: " "}
    )
    return " ".join(swapped.split())


def _quantity(
    what: str,
    text: str,
    plain: str,
    scales: Mapping[str, tuple[float, float]],
    example: str,
) -> float:
    found = _NUMBER.fullmatch(plain)
    if not found or len(plain) > _LONGEST:
        _refuse(what, text, f"write {example}")
    digits, unit = found[1], (found[2] or "").strip().lower().rstrip(".")
    if re.fullmatch(r"[+-]?[1-9]\d{0,2}[.,]\d{3}", digits):
        joined, small = re.sub("[.,]", "", digits), f"{float(digits.replace(',', '.')):.1f}"
        _refuse(what, text, f"{digits} may mean {joined} or {small}: write one of these")
    if unit not in scales:
        _refuse(what, text, f"write {example}")
    factor, offset = scales[unit]
    value = float(digits.replace(",", ".")) * factor + offset
    assert isfinite(value)
    return value


def _one(text: str, example: str) -> Amount:
    """One amount, no range: the answer would hide which end was meant."""
    amount = read_amount(text)
    if amount.high is not None or amount.fill != "level":
        _refuse("amount", text, f"give one plain amount: {example}")
    return amount


def _refuse(what: str, text: str, mend: str) -> NoReturn:
    raise Mistake(
        what.replace(" ", "-") + "-unclear", what=f"cannot read the {what} {text[:60]!r}", mend=mend
    )
