"""``fellfare camp fuel``."""

from __future__ import annotations

from typing import Any, Final

import click
from msgspec import to_builtins

from fellfare.camp import (
    WIND_FACTOR,
    Canisters,
    Efficiency,
    Fuel,
    FuelNeed,
    Heat,
    Stove,
    Wind,
    boil_at,
    boiled_off_g,
    canister_choices,
    check_efficiency,
    check_fuel,
    efficiency,
    fuel_need,
    heat_needed,
)
from fellfare.camp.kitchen import SIMMER_W
from fellfare.cli.camp import options
from fellfare.cli.camp.answer import answer, grams, known, standing
from fellfare.cli.camp.burning import read_fuel, read_stove, refuse_impossible, stove_for
from fellfare.cli.camp.fuel_text import UP_HIGH_M, FuelPlan, fuel_text, in_hand_text
from fellfare.cli.camp.reading import (
    given,
    read_altitude_m,
    read_mass_g,
    read_minutes,
    read_share,
    read_temperature_c,
    read_water_ml,
)
from fellfare.mistake import Finding, Mistake

_WINDS: Final[tuple[Wind, ...]] = ("calm", "breeze", "strong")


def _heat(plan: FuelPlan, boils_c: float, snow_share: float) -> Heat:
    """Heat of one boil, itemised."""
    steam_g = boiled_off_g(SIMMER_W, plan.simmer_minutes, boils_c)
    return heat_needed(
        plan.water_ml * (1.0 - snow_share),
        plan.start_c,
        boils_c,
        pot=plan.pot,
        food_g=plan.food_g,
        snow_g=plan.water_ml * snow_share,
        snow_c=plan.snow_c,
        boiled_off_g=steam_g,
    )


def _efficiency(plan: FuelPlan, wind: Wind) -> Efficiency:
    if plan.eta is None:
        assert plan.stove is not None
        return efficiency(plan.stove.id, wind)
    eta = plan.eta * WIND_FACTOR[wind]
    return Efficiency(
        eta=eta,
        low=eta,
        high=eta,
        trust="unknown",
        source=f"as you gave it; wind {wind!r} x{WIND_FACTOR[wind]:g}: common practice, no source",
    )


@click.command()
@click.option(
    "--water",
    "water_ml",
    required=True,
    metavar="AMOUNT",
    callback=given(read_water_ml),
    help="Water of one boil: 500ml, 2L, '2 cups'.",
)
@click.option(
    "--from",
    "start_c",
    required=True,
    metavar="TEMP",
    callback=given(read_temperature_c),
    help="Temperature of the water at the start.",
)
@click.option(
    "--altitude",
    "altitude_m",
    metavar="HEIGHT",
    callback=given(read_altitude_m),
    help="Height of camp; sea level, where a boil takes most, if left out.",
)
@click.option(
    "--fuel",
    default="gas",
    show_default=True,
    callback=given(read_fuel),
    help="gas, white gas, spirit 95%, wood, 'isobutane 80, propane 20' ...",
)
@click.option(
    "--stove",
    metavar="CLASS",
    callback=given(read_stove),
    help="gas-screened, gas-finned, gas-open, spirit, white-gas, tablet, wood-stove, open-fire.",
)
@click.option(
    "--efficiency",
    "eta",
    metavar="SHARE",
    callback=given(read_share),
    help="Your own, in calm air ('fellfare camp calibrate'), instead of a class.",
)
@options.pot
@click.option("--boils", default=1, show_default=True, type=click.IntRange(1, 100), help="A day.")
@click.option("--days", default=1, show_default=True, type=click.IntRange(1, 1000))
@click.option(
    "--reserve",
    default="15%",
    show_default=True,
    metavar="SHARE",
    callback=given(read_share),
    help="On top, in the canisters.",
)
@click.option(
    "--snow",
    "snow_share",
    default="0%",
    metavar="SHARE",
    callback=given(read_share),
    help="Share of the water that is melted from snow.",
)
@click.option(
    "--snow-temp",
    "snow_c",
    default="-5",
    show_default=True,
    metavar="TEMP",
    callback=given(read_temperature_c),
    help="Temperature of the snow.",
)
@click.option(
    "--simmer",
    "simmer_minutes",
    default="0 min",
    metavar="MIN",
    callback=given(read_minutes),
    help="Minutes on the simmer after each boil, already those of that height.",
)
@click.option(
    "--food",
    "food_g",
    default="0 g",
    metavar="MASS",
    callback=given(read_mass_g),
    help="Dry food that is heated in the water.",
)
@click.option(
    "--have",
    "have_g",
    metavar="MASS",
    callback=given(read_mass_g),
    help="Fuel in hand: how many boils is that?",
)
@options.as_json
def command(
    fuel: Fuel, stove: Stove | None, have_g: float | None, as_json: bool, **asked: Any
) -> None:
    """How much fuel for so much hot water, in calm air and in wind?

    \b
    fellfare camp fuel --water 2L --from 3
    fellfare camp fuel --water 500ml --from 8 --altitude 2000 \\
        --fuel isobutane --pot 'aluminium 120g' --boils 2 --days 5
    """
    height_told = asked["altitude_m"] is not None
    asked["altitude_m"] = asked["altitude_m"] if height_told else 0.0
    refuse_impossible(asked["eta"], "--efficiency")
    if asked["eta"] is not None and stove is not None:
        raise Mistake(
            "stove-and-efficiency",
            what="--stove and --efficiency both say how well it burns",
            mend="give one of them",
        )
    burner = None if asked["eta"] is not None else stove_for(fuel, stove)
    plan = FuelPlan(fuel=fuel, stove=burner, **asked)
    boils_c = boil_at(plan.altitude_m).boils_c
    heat = _heat(plan, boils_c, plan.snow_share)
    needs = {wind: fuel_need(heat, fuel, _efficiency(plan, wind), boils_c) for wind in _WINDS}
    melted = fuel_need(_heat(plan, boils_c, 1.0), fuel, _efficiency(plan, "calm"), boils_c)
    liquid = fuel_need(_heat(plan, boils_c, 0.0), fuel, _efficiency(plan, "calm"), boils_c)
    cans = {
        wind: canister_choices(need.fuel_g * plan.times, plan.reserve)
        for wind, need in needs.items()
        if fuel.kind == "gas"
    }
    high = None if height_told else _up_high(plan)
    lines = fuel_text(plan, boils_c, needs, cans, liquid, melted, high)
    findings = [*check_efficiency(plan.eta)] if plan.eta is not None else []
    data = _data(plan, boils_c, needs, cans, liquid, melted)
    data["altitude_assumed"] = not height_told
    data["boil_up_high_g"] = None if high is None else high.fuel_g
    data["up_high_m"] = None if high is None else UP_HIGH_M
    if have_g is not None:
        lines += in_hand_text(needs, have_g)
        data["have_g"] = have_g
        data["have_boils"] = {wind: have_g / need.fuel_g for wind, need in needs.items()}
        findings += check_fuel(have_g, heat.water_only_kj * plan.times, fuel)
        if not any(one.rule == "fuel-below-floor" for one in findings):
            findings += _short(plan, needs["calm"], have_g)
    calm = needs["calm"]
    lines += known(
        ("derived", "heat by physics; boiling point [USSA-1976], [IAPWS-R7-97]"),
        (calm.trust, calm.source),
    )
    answer(lines, data, findings, (*_poison(fuel), *standing("stove")), as_json=as_json)


def _up_high(plan: FuelPlan) -> FuelNeed:
    """The same boil at the other end of where people camp, in calm air."""
    boils_c = boil_at(UP_HIGH_M).boils_c
    heat = _heat(plan, boils_c, plan.snow_share)
    return fuel_need(heat, plan.fuel, _efficiency(plan, "calm"), boils_c)


def _poison(fuel: Fuel) -> tuple[Finding, ...]:
    if fuel.id not in ("methanol", "denatured-spirit"):
        return ()
    return (
        Finding(
            severity="note",
            rule="fuel-poisonous",
            text=f"{fuel.name}: methanol is poisonous to drink, to breathe and through the skin; "
            "never carry it in a drinking bottle.  Read the label.",
            source="the label's own hazard statements for methanol; from memory",
            about=(fuel.id,),
        ),
    )


def _short(plan: FuelPlan, calm: FuelNeed, have_g: float) -> list[Finding]:
    wanted = calm.fuel_g * plan.times
    if have_g >= wanted:
        return []
    return [
        Finding(
            severity="error",
            rule="fuel-too-little",
            text=f"{grams(have_g)} in hand; the plan wants {grams(wanted)} even in calm air and "
            "without any reserve.",
            source=calm.source,
        )
    ]


def _data(
    plan: FuelPlan,
    boils_c: float,
    needs: dict[Wind, FuelNeed],
    cans: dict[Wind, tuple[Canisters, ...]],
    liquid: FuelNeed,
    melted: FuelNeed,
) -> dict[str, Any]:
    heat = needs["calm"].heat
    return {
        "water_ml": plan.water_ml,
        "start_c": plan.start_c,
        "altitude_m": plan.altitude_m,
        "boils_c": boils_c,
        "fuel": plan.fuel.id,
        "fuel_name": plan.fuel.name,
        "stove": plan.stove.id if plan.stove else None,
        "pot": to_builtins(plan.pot),
        "simmer_min": plan.simmer_minutes,
        "food_g": plan.food_g,
        "boils_per_day": plan.boils,
        "days": plan.days,
        "reserve_share": plan.reserve,
        "heat": {**to_builtins(heat), "total_kj": heat.total_kj},
        "floor_g": needs["calm"].floor_g,
        "wind": {
            wind: {
                "efficiency": need.eta,
                "boil_g": need.fuel_g,
                "boil_low_g": need.low_g,
                "boil_high_g": need.high_g,
                "boil_ml": need.fuel_ml,
                "day_g": need.fuel_g * plan.boils,
                "all_g": need.fuel_g * plan.times,
                "with_reserve_g": need.fuel_g * plan.times * (1.0 + plan.reserve),
                "canisters": [
                    {
                        "net_g": one.size.net_g,
                        "count": one.count,
                        "carried_low_g": one.carried_low_g,
                        "carried_high_g": one.carried_high_g,
                        "spare_g": one.spare_g,
                        "trust": one.size.trust,
                    }
                    for one in cans.get(wind, ())
                ],
                "trust": need.trust,
                "source": need.source,
            }
            for wind, need in needs.items()
        },
        "snow": {
            "snow_share": plan.snow_share,
            "snow_c": plan.snow_c,
            "melt_share_of_heat": heat.melt_kj / heat.total_kj,
            "boil_all_water_g": liquid.fuel_g,
            "boil_all_snow_g": melted.fuel_g,
        },
    }
