"""``fellfare camp calibrate``."""

from __future__ import annotations

import click

from fellfare.camp import (
    STOVES,
    Efficiency,
    Fuel,
    FuelNeed,
    Pot,
    boil_at,
    calibrate_efficiency,
    fuel_to_boil,
)
from fellfare.cli.camp import options
from fellfare.cli.camp.answer import answer, degrees, grams, known, litres, standing, titled
from fellfare.cli.camp.burning import read_fuel, refuse_impossible
from fellfare.cli.camp.reading import (
    given,
    read_altitude_m,
    read_mass_g,
    read_temperature_c,
    read_water_ml,
)
from fellfare.cli.layout import heading, paragraph
from fellfare.mistake import Mistake

#: The litre for which the fuel is shown starts at this [°C].
_LITRE_FROM_C = 10.0


@click.command()
@click.option("--fuel", default="gas", show_default=True, callback=given(read_fuel))
@click.option(
    "--used", "used_g", metavar="MASS", callback=given(read_mass_g), help="Fuel that was burnt."
)
@click.option(
    "--before", "before_g", metavar="MASS", callback=given(read_mass_g),
    help="Canister or bottle before the boil ...",
)  # fmt: skip
@click.option(
    "--after", "after_g", metavar="MASS", callback=given(read_mass_g),
    help="... and after it, instead of --used.",
)  # fmt: skip
@click.option(
    "--water", "water_ml", required=True, metavar="AMOUNT", callback=given(read_water_ml),
    help="Water that was heated, best weighed: 500g.",
)  # fmt: skip
@click.option(
    "--from", "start_c", required=True, metavar="TEMP", callback=given(read_temperature_c),
    help="Its temperature at the start.",
)  # fmt: skip
@click.option(
    "--to", "to_c", metavar="TEMP", callback=given(read_temperature_c),
    help="And at the end; the boiling point if left out.",
)  # fmt: skip
@click.option(
    "--altitude", "altitude_m", default="0", show_default=True, metavar="HEIGHT",
    callback=given(read_altitude_m), help="Where you boiled it.",
)  # fmt: skip
@options.pot
@click.option(
    "--scale-step", "scale_step_g", default="1 g", show_default=True, metavar="MASS",
    callback=given(read_mass_g), help="Step of your scale.",
)  # fmt: skip
@options.as_json
def command(
    fuel: Fuel,
    used_g: float | None,
    before_g: float | None,
    after_g: float | None,
    water_ml: float,
    start_c: float,
    to_c: float | None,
    altitude_m: float,
    pot: Pot | None,
    scale_step_g: float,
    as_json: bool,
) -> None:
    """The efficiency of your own stove, pot and screen from one weighed boil.

    \b
    fellfare camp calibrate --fuel isobutane --before 342g --after 334.5g \\
        --water 500g --from 15 --to 99 --pot 'aluminium 120g'
    """
    burnt_g = _burnt(used_g, before_g, after_g)
    boils_c = boil_at(altitude_m).boils_c
    reached_c = boils_c if to_c is None else to_c
    if reached_c > boils_c + 1.5:
        raise Mistake(
            "water-too-hot",
            what=f"water does not get to {reached_c:.1f} °C here; it boils at {boils_c:.1f} °C",
            mend="check --to, or say where with --altitude",
            where="--to",
        )
    own = calibrate_efficiency(fuel, burnt_g, water_ml, start_c, reached_c, pot, scale_step_g)
    refuse_impossible(own.eta, "--used" if used_g is not None else "--after")
    litre = fuel_to_boil(1.0, _LITRE_FROM_C, altitude_m, fuel, own, pot)
    answer(
        _text(fuel, own, litre, burnt_g, water_ml, start_c, reached_c, pot),
        {
            "fuel": fuel.id,
            "used_g": burnt_g,
            "water_ml": water_ml,
            "start_c": start_c,
            "to_c": reached_c,
            "boils_c": boils_c,
            "efficiency": own.eta,
            "efficiency_low": own.low,
            "efficiency_high": own.high,
            "litre_from_c": _LITRE_FROM_C,
            "litre_g": litre.fuel_g,
            "litre_low_g": litre.low_g,
            "litre_high_g": litre.high_g,
            "trust": own.trust,
            "source": own.source,
        },
        own.findings,
        standing("stove"),
        as_json=as_json,
    )


def _burnt(used_g: float | None, before_g: float | None, after_g: float | None) -> float:
    """The burnt fuel, from one of the two ways to say it [g]."""
    if used_g is not None and before_g is None and after_g is None:
        return used_g
    if used_g is None and before_g is not None and after_g is not None:
        return before_g - after_g
    raise Mistake(
        "fuel-mass-missing",
        what="it is not clear how much fuel was burnt",
        mend="give --used 7.5g, or both --before and --after",
    )


def _text(
    fuel: Fuel,
    own: Efficiency,
    litre: FuelNeed,
    burnt_g: float,
    water_ml: float,
    start_c: float,
    reached_c: float,
    pot: Pot | None,
) -> list[str]:
    lines = titled(f"Your stove on {fuel.name}")
    lines += [
        f"  efficiency     {100 * own.eta:.0f} %  ({100 * own.low:.0f} to {100 * own.high:.0f} % "
        "by the step of the scale)",
        f"  one litre      {grams(litre.fuel_g)} from {degrees(_LITRE_FROM_C)} to the boil "
        f"({grams(litre.low_g)} to {grams(litre.high_g)})",
    ]
    lines += paragraph(
        f"From {litres(water_ml)} heated from {degrees(start_c)} to {degrees(reached_c)} with "
        f"{burnt_g:g} g of fuel" + (f" in {pot.mass_g:g} g of {pot.material}." if pot else ".")
    )
    if pot is None:
        lines += paragraph("The pot is left out: name it with --pot, or the figure comes too low.")
    lines += heading("Beside the usual classes, calm air")
    for stove in STOVES.values():
        if fuel.kind in stove.burns:
            lines.append(
                f"  {stove.id:<14} {100 * stove.eta_low:.0f} to {100 * stove.eta_high:.0f} %   "
                f"{stove.name}"
            )
    if (own.high - own.low) > 0.2 * own.eta:
        lines += paragraph("The scale is coarse for so little fuel: boil more water in one go.")
    if not own.findings:
        lines += paragraph(
            "It holds for that wind, pot and flame.  Use it: fellfare camp fuel --efficiency "
            f"{100 * own.eta:.0f}% ..."
        )
    return lines + known((own.trust, own.source), (fuel.trust, f"fuel: {fuel.source}"))
