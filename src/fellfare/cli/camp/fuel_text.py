"""The fuel of a plan as text: heat, wind side by side, canisters, snow."""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from fellfare.camp import Canisters, Fuel, FuelNeed, Pot, Stove, Wind, snow_for
from fellfare.cli.camp.answer import degrees, grams, height, litres, titled
from fellfare.cli.layout import heading, paragraph, table

#: When no height is told, the other end of where people camp [m].
UP_HIGH_M: Final = 3000.0
#: Water so cold speaks of nights with frost [°C].
_FROST_NEAR_C: Final = 5.0


class FuelPlan(Struct, frozen=True, kw_only=True):
    """What is boiled, how often, with what in hand."""

    water_ml: float
    start_c: float
    altitude_m: float
    boils: int
    days: int
    reserve: float
    snow_share: float
    snow_c: float
    simmer_minutes: float
    food_g: float
    fuel: Fuel
    stove: Stove | None
    pot: Pot | None
    eta: float | None

    @property
    def times(self) -> int:
        """Boils of the whole stretch."""
        return self.boils * self.days


def in_hand_text(needs: dict[Wind, FuelNeed], have_g: float) -> list[str]:
    boils = ", ".join(f"{wind} {have_g / need.fuel_g:.1f}" for wind, need in needs.items())
    return [*heading("In hand"), *paragraph(f"{grams(have_g)} bring so many boils: {boils}")]


def fuel_text(
    plan: FuelPlan,
    boils_c: float,
    needs: dict[Wind, FuelNeed],
    cans: dict[Wind, tuple[Canisters, ...]],
    liquid: FuelNeed,
    melted: FuelNeed,
    up_high: FuelNeed | None = None,
) -> list[str]:
    """The whole answer; ``up_high`` is the same boil at 3 000 m when no height was told."""
    calm, fuel = needs["calm"], plan.fuel
    burner = plan.stove.name if plan.stove else f"own efficiency {100 * calm.eta:.0f} %"
    lines = titled(f"Fuel for {litres(plan.water_ml)} at {height(plan.altitude_m)}")
    lines += paragraph(
        f"{fuel.name}; {burner}; water from {degrees(plan.start_c)} to the boil at "
        f"{degrees(boils_c)}"
    )
    if up_high is not None and up_high.boils_c is not None:
        less = 100 * (1 - up_high.fuel_g / calm.fuel_g)
        lines += paragraph(
            f"No height was given (--altitude): reckoned for sea level, where a boil takes most. "
            f"At {height(UP_HIGH_M)} it boils at {up_high.boils_c:.0f} °C and takes {less:.0f} % "
            f"less: {grams(up_high.fuel_g)} a boil in calm air."
        )
    lines += heading("Heat of one boil")
    parts = (
        ("water", calm.heat.water_kj),
        ("melting", calm.heat.melt_kj),
        ("pot", calm.heat.pot_kj),
        ("food", calm.heat.food_kj),
        ("steam", calm.heat.evaporation_kj),
    )
    terms = [f"{name} {kj:.1f}" for name, kj in parts if kj]
    sum_ = f" = {calm.heat_kj:.1f} kJ" if len(terms) > 1 else " kJ"
    lines += paragraph(" + ".join(terms) + sum_)
    if plan.pot is None:
        lines += paragraph("The pot is left out; name it with --pot ('aluminium 120g').")
    lines += heading("Fuel")
    whole = f"{plan.days} days" if plan.days > 1 else "in all"
    rows = [["wind", "reaches pot", "one boil", "a day", whole, "with reserve"]]
    if cans:
        rows[0].append("canisters")
    for wind, need in needs.items():
        total = need.fuel_g * plan.times
        row = [
            wind,
            f"{100 * need.eta:.0f} %",
            grams(need.fuel_g),
            grams(need.fuel_g * plan.boils),
            grams(total),
            grams(total * (1.0 + plan.reserve)),
        ]
        if cans:
            row.append(_said(cans[wind][0]))
        rows.append(row)
    widths = [8, -11, -9, -9, -9, -12, -13][: len(rows[0])]
    lines += [f"  {line}" for line in table(rows, widths)]
    lines += paragraph(
        f"Calm, one boil: {grams(calm.low_g)} to {grams(calm.high_g)} by the usual spread of such "
        f"stoves.  Under {grams(calm.floor_g)} no stove on earth does it.  In a strong wind an "
        "unscreened stove may never boil."
        if calm.low_g < calm.high_g
        else f"Under {grams(calm.floor_g)} for one boil no stove on earth does it.  In a strong "
        "wind an unscreened stove may never boil."
    )
    if calm.fuel_ml is not None and fuel.kind in ("spirit", "petrol"):
        with_reserve = calm.fuel_ml * plan.times * (1.0 + plan.reserve)
        lines += paragraph(
            f"By volume, calm: {calm.fuel_ml:.0f} ml a boil, {litres(with_reserve)} for all with "
            f"the reserve of {100 * plan.reserve:.0f} %."
        )
    if cans:
        lines += heading(f"Canisters in calm air, reserve {100 * plan.reserve:.0f} %")
        rows = [["canisters", "carried full", "spare gas"]]
        rows += [
            [_said(one), f"{one.carried_low_g:.0f} to {one.carried_high_g:.0f} g",
             grams(one.spare_g)]
            for one in cans["calm"]
        ]  # fmt: skip
        lines += [f"  {line}" for line in table(rows, [12, -18, -11])]
        if min(plan.start_c, plan.snow_c if plan.snow_share else plan.start_c) < _FROST_NEAR_C:
            lines += paragraph("Frost may stop the gas: ask 'fellfare camp gas' as well.")
    lines += _snow_text(plan, calm, liquid, melted)
    return lines


def _said(choice: Canisters) -> str:
    return f"{choice.count} x {choice.size.net_g:.0f} g"


def _snow_text(plan: FuelPlan, calm: FuelNeed, liquid: FuelNeed, melted: FuelNeed) -> list[str]:
    lines = heading("Snow")
    if not plan.snow_share:
        return lines + paragraph(
            f"All from snow at {plan.snow_c:.0f} °C it would take {grams(melted.fuel_g)} a boil, "
            f"{melted.fuel_g / liquid.fuel_g:.1f} times as much."
        )
    new = snow_for(plan.water_ml * plan.snow_share, "new")
    packed = snow_for(plan.water_ml * plan.snow_share, "settled")
    return lines + paragraph(
        f"{100 * plan.snow_share:.0f} % from snow: melting takes "
        f"{100 * calm.heat.melt_kj / calm.heat_kj:.0f} % of the heat; all from water a boil takes "
        f"{grams(liquid.fuel_g)}.  Fetch {new.low_l:.0f} to {new.high_l:.0f} L of new snow or "
        f"{packed.low_l:.1f} to {packed.high_l:.1f} L of settled snow a boil, and start with a "
        "little water in the pot: dry snow scorches [common practice]."
    )
