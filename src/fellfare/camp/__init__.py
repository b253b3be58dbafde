"""The camp: air, boiling water, heat, fuel, soaking, and the day's timetable.

Pure physics and arithmetic over frozen values; knows foods, knows no people.
Each published formula stands once, bare, beside a door with trade units.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from fellfare.camp.air import air_pressure_pa
    from fellfare.camp.camp_water import (
        SNOW_KG_PER_M3,
        WATER_NEEDS,
        SnowVolume,
        WaterNeed,
        WaterUse,
        snow_for,
        water_for,
    )
    from fellfare.camp.cooking import CookingTime, cooking_minutes, cooking_time_factor
    from fellfare.camp.fuel.canister import (
        RESERVE,
        SIZES,
        Canisters,
        CanisterSize,
        canister_choices,
        canisters,
    )
    from fellfare.camp.fuel.efficiency import (
        STOVES,
        WIND_FACTOR,
        Efficiency,
        Stove,
        Wind,
        calibrate_efficiency,
        check_efficiency,
        efficiency,
    )
    from fellfare.camp.fuel.fuels import (
        FUELS,
        Fuel,
        FuelKind,
        ethanol,
        find_fuel,
        gas_mix,
        spirit,
        wood,
    )
    from fellfare.camp.fuel.need import (
        FuelNeed,
        check_fuel,
        fuel_floor_g,
        fuel_mass_g,
        fuel_need,
        fuel_to_boil,
    )
    from fellfare.camp.fuel.vapour import (
        GasInCold,
        gas_in_cold,
        gas_pressure_kpa,
        lowest_temperature_c,
        mix_after_use,
        mix_pressure_kpa,
    )
    from fellfare.camp.heat import Heat, Pot, PotMaterial, boiled_off_g, heat_needed
    from fellfare.camp.kitchen import Dish, KitchenPlan, KitchenStep, kitchen_plan
    from fellfare.camp.soaking.food import soak_food
    from fellfare.camp.soaking.minutes import (
        PRECOOKED,
        RAW,
        Activation,
        SoakTime,
        soak_minutes,
    )
    from fellfare.camp.soaking.peleg import SoakTest, read_soak_test
    from fellfare.camp.soaking.sphere import sphere_soak_minutes
    from fellfare.camp.soaking.tried import OwnSoak, SoakTried, own_soak, own_soak_minutes
    from fellfare.camp.steam import evaporation_heat_kj_per_kg
    from fellfare.camp.stoveless import (
        NoStoveKit,
        StoveKit,
        StoveOrStoveless,
        extra_food_g_per_day,
        stove_or_stoveless,
    )
    from fellfare.camp.timetable import Span, WaterPoint, Wetting, clock, next_time, wetting_window
    from fellfare.camp.water import Boiling, boil_at, boiling_point_c

#: Which file answers for which name; a file is read when a name of it is first asked for, so a
#: command that only wants the boiling point does not load the kitchen.
_HOME: Final = {
    name: f"{__name__}.{file}"
    for file, names in {
        "air": ("air_pressure_pa",),
        "camp_water": (
            "SNOW_KG_PER_M3",
            "WATER_NEEDS",
            "SnowVolume",
            "WaterNeed",
            "WaterUse",
            "snow_for",
            "water_for",
        ),
        "cooking": (
            "CookingTime",
            "cooking_minutes",
            "cooking_time_factor",
        ),
        "fuel.canister": (
            "RESERVE",
            "SIZES",
            "Canisters",
            "CanisterSize",
            "canister_choices",
            "canisters",
        ),
        "fuel.efficiency": (
            "STOVES",
            "WIND_FACTOR",
            "Efficiency",
            "Stove",
            "Wind",
            "calibrate_efficiency",
            "check_efficiency",
            "efficiency",
        ),
        "fuel.fuels": (
            "FUELS",
            "Fuel",
            "FuelKind",
            "ethanol",
            "find_fuel",
            "gas_mix",
            "spirit",
            "wood",
        ),
        "fuel.need": (
            "FuelNeed",
            "check_fuel",
            "fuel_floor_g",
            "fuel_mass_g",
            "fuel_need",
            "fuel_to_boil",
        ),
        "fuel.vapour": (
            "GasInCold",
            "gas_in_cold",
            "gas_pressure_kpa",
            "lowest_temperature_c",
            "mix_after_use",
            "mix_pressure_kpa",
        ),
        "heat": (
            "Heat",
            "Pot",
            "PotMaterial",
            "boiled_off_g",
            "heat_needed",
        ),
        "kitchen": (
            "Dish",
            "KitchenPlan",
            "KitchenStep",
            "kitchen_plan",
        ),
        "soaking.minutes": (
            "PRECOOKED",
            "RAW",
            "Activation",
            "SoakTime",
            "soak_minutes",
        ),
        "soaking.food": ("soak_food",),
        "soaking.peleg": (
            "SoakTest",
            "read_soak_test",
        ),
        "soaking.sphere": ("sphere_soak_minutes",),
        "soaking.tried": ("OwnSoak", "SoakTried", "own_soak", "own_soak_minutes"),
        "steam": ("evaporation_heat_kj_per_kg",),
        "stoveless": (
            "NoStoveKit",
            "StoveKit",
            "StoveOrStoveless",
            "extra_food_g_per_day",
            "stove_or_stoveless",
        ),
        "timetable": (
            "Span",
            "WaterPoint",
            "Wetting",
            "clock",
            "next_time",
            "wetting_window",
        ),
        "water": (
            "Boiling",
            "boil_at",
            "boiling_point_c",
        ),
    }.items()
    for name in names
}


def __getattr__(name: str) -> object:
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found: object = getattr(import_module(_HOME[name]), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return sorted({*globals(), *_HOME})


__all__ = [
    "FUELS",
    "PRECOOKED",
    "RAW",
    "RESERVE",
    "SIZES",
    "SNOW_KG_PER_M3",
    "STOVES",
    "WATER_NEEDS",
    "WIND_FACTOR",
    "Activation",
    "Boiling",
    "CanisterSize",
    "Canisters",
    "CookingTime",
    "Dish",
    "Efficiency",
    "Fuel",
    "FuelKind",
    "FuelNeed",
    "GasInCold",
    "Heat",
    "KitchenPlan",
    "KitchenStep",
    "NoStoveKit",
    "OwnSoak",
    "Pot",
    "PotMaterial",
    "SnowVolume",
    "SoakTest",
    "SoakTime",
    "SoakTried",
    "Span",
    "Stove",
    "StoveKit",
    "StoveOrStoveless",
    "WaterNeed",
    "WaterPoint",
    "WaterUse",
    "Wetting",
    "Wind",
    "air_pressure_pa",
    "boil_at",
    "boiled_off_g",
    "boiling_point_c",
    "calibrate_efficiency",
    "canister_choices",
    "canisters",
    "check_efficiency",
    "check_fuel",
    "clock",
    "cooking_minutes",
    "cooking_time_factor",
    "efficiency",
    "ethanol",
    "evaporation_heat_kj_per_kg",
    "extra_food_g_per_day",
    "find_fuel",
    "fuel_floor_g",
    "fuel_mass_g",
    "fuel_need",
    "fuel_to_boil",
    "gas_in_cold",
    "gas_mix",
    "gas_pressure_kpa",
    "heat_needed",
    "kitchen_plan",
    "lowest_temperature_c",
    "mix_after_use",
    "mix_pressure_kpa",
    "next_time",
    "own_soak",
    "own_soak_minutes",
    "read_soak_test",
    "snow_for",
    "soak_food",
    "soak_minutes",
    "sphere_soak_minutes",
    "spirit",
    "stove_or_stoveless",
    "water_for",
    "wetting_window",
    "wood",
]
