"""Which figures of a trip document are no walker's figures?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from fellfare.mistake import Mistake
from fellfare.trip.trip import Trip
from fellfare.walk.resting.body import (
    LEAST_HEIGHT_CM,
    LEAST_MASS_KG,
    MOST_HEIGHT_CM,
    MOST_MASS_KG,
)

#: Key → least, most, what it is.  Outside it is a slip.
_HOURS: Final = "an hour of the clock; half past eight is 8.5"
_AIR: Final = "degrees Celsius; 50 °F is 10 °C"
_SHARE: Final = "a share; 30 % is 0.3"
_WAY: Final = {
    "days": (1, 400, "days"),
    "start_m": (-500, 9_000, "metres above the sea"),
    "day_c": (-60, 55, _AIR),
    "night_c": (-60, 45, _AIR),
    "water_c": (0, 40, _AIR),
    "start_hour": (0, 24, _HOURS),
    "end_hour": (0, 24, _HOURS),
    "walk_from_hour": (0, 24, _HOURS),
    "wake_hour": (0, 24, _HOURS),
    "sleep_hours": (0, 16, "hours a night"),
    "moving_share": (0.3, 1, _SHARE),
    "drink_ml_per_hour": (0, 2_000, "millilitres for an hour of walking"),
    "bottles_ml": (250, 20_000, "millilitres"),
    "dry_risk": (0, 1, _SHARE),
}
_STAGE: Final = {
    "distance_m": (0, 200_000, "metres"),
    "ascent_m": (0, 9_000, "metres"),
    "descent_m": (0, 9_000, "metres"),
    "camp_m": (-430, 9_000, "metres above the sea"),
}
_DAY: Final = {
    "day_c": (-60, 55, _AIR),
    "night_c": (-60, 45, _AIR),
    "snow_share": (0, 1, _SHARE),
}
_KITCHEN: Final = {
    "efficiency": (0.02, 1, _SHARE),
    "pot_g": (0, 10_000, "grams"),
    "pot_ml": (100, 50_000, "millilitres"),
    "pots": (1, 20, "pots of one kind"),
    "batches": (1, 10, "fills of the pots for one meal"),
    "kit_g": (0, 20_000, "grams"),
    "reserve": (0, 4, _SHARE),
    "jar_ml": (50, 5_000, "millilitres"),
    "jar_g": (0, 2_000, "grams"),
}
_CONTAINER: Final = {
    "litres": (0.1, 200, "litres"),
    "mass_g": (0, 5_000, "grams"),
}
_STOP: Final = {
    "at_m": (0, 200_000, "metres walked on that day"),
    "hold_days": (1, 400, "days"),
    "warmest_c": (-40, 60, _AIR),
    "most_kg": (0.1, 100, "kilograms"),
    "most_litres": (0.1, 500, "litres"),
    "fee": (0, 1_000_000, "money"),
    "effort_min": (0, 2_000, "minutes"),
}
_WATER: Final = {
    "at_m": (0, 200_000, "metres walked on that day"),
    "chance_dry": (0, 1, _SHARE),
}
_EATING: Final = {
    "share": (0, 1, _SHARE),
    "most_of_one_dish": (1, 4_000, "times on the whole walk"),
    "days_between": (0, 400, "days"),
    "base_days_between": (0, 400, "days"),
    "flavour_days_between": (0, 400, "days"),
}
_RULES: Final = {
    "coverage": (0.5, 1.2, _SHARE),
    "kcal_per_g": (1, 9, "kcal for a gram as packed; 125 kcal/oz is 4.4"),
    "protein_g_per_kg": (0.3, 4, "grams for a kilogram of body mass and day"),
    "fibre_g_per_1000_kcal": (0, 40, "grams"),
    "most_of_one_dish": (1, 400, "times on the whole walk"),
    "days_between": (0, 400, "days"),
    "base_days_between": (0, 400, "days"),
    "flavour_days_between": (0, 400, "days"),
    "least_dinners": (1, 400, "dinners"),
    "spare_days": (0, 10, "days"),
    "most_food_kg": (0.1, 60, "kilograms on one back"),
    "most_load_share": (0.05, 1, _SHARE),
    "budget": (0, 1_000_000, "money"),
}
_WALKER: Final = {
    "height_cm": (LEAST_HEIGHT_CM, MOST_HEIGHT_CM, "centimetres"),
    "mass_kg": (LEAST_MASS_KG, MOST_MASS_KG, "kilograms"),
}
#: Pairs, least before most.
_BANDS: Final = {
    "energy_band": (0.5, 1.5, _SHARE),
    "protein_share": (0, 1, _SHARE),
    "fat_share": (0, 1, _SHARE),
    "carbohydrate_share": (0, 1, _SHARE),
    "sodium_mg": (0, 50_000, "milligrams a day"),
    "portions": (0.1, 4, "parts of a serving; three quarters is 0.75"),
}

_Ranges = Mapping[str, tuple[float, float, str]]
_OF_TABLE: Final[Mapping[str, _Ranges]] = {
    "walk": _WAY, "stage": _STAGE, "day": _DAY, "kitchen": _KITCHEN, "container": _CONTAINER,
    "stop": _STOP, "water": _WATER, "eating": _EATING, "rules": _RULES, "walker": _WALKER,
}  # fmt: skip


def range_of(table: str, key: str) -> tuple[float, float] | None:
    """Least and most of a key of one table ('walk', 'stage', 'walker', …).

    None = the key has no range, or is one of a walker's further keys, which
    :class:`fellfare.walk.walker.Walker` checks.
    """
    known = _OF_TABLE.get(table, {}).get(key)
    return None if known is None else known[:2]


def range_faults(trip: Trip) -> Iterator[Mistake]:
    """``figure-out-of-range`` for figures, ``band-reversed`` and ``night-above-day``."""
    yield from _checked(trip.way, _WAY, "walk")
    for number, hours in enumerate(trip.way.hours_per_day):
        if not 0.5 <= hours <= 24:
            what = f"hours of walking on day {number + 1} are {hours:g}"
            yield Mistake("figure-out-of-range", what, "give 0.5 to 24 hours", "walk.hours_per_day")
    tables: tuple[tuple[str, tuple[object, ...], _Ranges], ...] = (
        ("stage", trip.stages, _STAGE),
        ("day", trip.days, _DAY),
        ("kitchen", trip.kitchens, _KITCHEN),
        ("container", trip.containers, _CONTAINER),
        ("stop", trip.stops, _STOP),
        ("water", trip.water, _WATER),
        ("eating", trip.eating, _EATING),
    )
    for name, rows, ranges in tables:
        for number, row in enumerate(rows):
            yield from _checked(row, ranges, f"{name}[{number}]")
    yield from _checked(trip.rules, _RULES, "rules")
    for key, (least, most, what) in _BANDS.items():
        band = getattr(trip.rules, key)
        if band is not None and not least <= band[0] <= band[1] <= most:
            told = f"{key} = [{band[0]:g}, {band[1]:g}]"
            mend = f"least before most, from {least:g} to {most:g}: {what}"
            yield Mistake("band-reversed", told, mend, f"rules.{key}")
    for number, time in enumerate(trip.eating):
        part = time.energy_share
        if part is not None and not 0 <= part[0] <= part[1] <= 1:
            told = f"energy_share = [{part[0]:g}, {part[1]:g}]"
            mend = "least before most, from 0 to 1: a quarter of the day is 0.25"
            yield Mistake("band-reversed", told, mend, f"eating[{number}].energy_share")
    for number, liked in enumerate(trip.liked):
        if liked.times is not None and not 1 <= liked.times <= 400:
            what = f"times = {liked.times}"
            mend = "times on the whole walk, from 1 to 400"
            yield Mistake("figure-out-of-range", what, mend, f"liked[{number}].times")
    yield from _hot(trip)
    yield from _post(trip)
    yield from _nights(trip)


def _checked(row: object, ranges: _Ranges, at: str) -> Iterator[Mistake]:
    for key, (least, most, what) in ranges.items():
        value = getattr(row, key)
        if value is not None and not least <= value <= most:  # NaN is in no range
            mend = f"{what}, from {least:,g} to {most:,g}"
            yield Mistake("figure-out-of-range", f"{key} = {value:g}", mend, f"{at}.{key}")


def _hot(trip: Trip) -> Iterator[Mistake]:
    for number, kitchen in enumerate(trip.kitchens):
        for hot in kitchen.hot:
            if not 0 <= hot.water_ml <= 5_000:
                what = f"{hot.water_ml:g} ml of hot water for one eater"
                mend = "give millilitres, from 0 to 5 000"
                yield Mistake("figure-out-of-range", what, mend, f"kitchen[{number}].hot")


def _post(trip: Trip) -> Iterator[Mistake]:
    for number, stop in enumerate(trip.stops):
        days = stop.transit_days
        if days is not None and not 0 <= days[0] <= days[1] <= 400:
            what = f"transit_days = [{days[0]}, {days[1]}]"
            mend = "days under way, least before most: [3, 10]"
            yield Mistake("band-reversed", what, mend, f"stop[{number}].transit_days")


def _nights(trip: Trip) -> Iterator[Mistake]:
    told = [(trip.way.day_c, trip.way.night_c, "walk")]
    told += [(word.day_c, word.night_c, f"day[{n}]") for n, word in enumerate(trip.days)]
    for own_day_c, own_night_c, at in told:
        day_c = trip.way.day_c if own_day_c is None else own_day_c
        night_c = trip.way.night_c if own_night_c is None else own_night_c
        if day_c is not None and night_c is not None and night_c > day_c:
            field = f"{at}.night_c" if own_night_c is not None else f"{at}.day_c"
            what = f"the night ({night_c:g} °C) is warmer than the day ({day_c:g} °C)"
            yield Mistake("night-above-day", what, "change them round", field)
