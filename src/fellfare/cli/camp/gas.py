"""``fellfare camp gas``."""

from __future__ import annotations

from typing import Final

import click

from fellfare.camp import (
    Fuel,
    GasInCold,
    air_pressure_pa,
    gas_in_cold,
    lowest_temperature_c,
    mix_after_use,
)
from fellfare.camp.fuel.vapour import COLD_MARGIN_K
from fellfare.cli.camp import options
from fellfare.cli.camp.answer import answer, degrees, height, known, standing, titled
from fellfare.cli.camp.burning import read_fuel
from fellfare.cli.camp.reading import given, read_altitude_m, read_hpa, read_temperature_c
from fellfare.cli.layout import heading, paragraph, table
from fellfare.mistake import Mistake

#: Shares of the fill that are gone, for the table; drawn at 10 °C, as in ``GasInCold``.
_USED: Final = (0.0, 1.0 / 3.0, 2.0 / 3.0, 0.9)
_DRAWN_AT_C: Final = 10.0


@click.command()
@click.option(
    "--fuel",
    default="gas",
    show_default=True,
    callback=given(read_fuel),
    help="gas, gas-butane, or its label: 'isobutane 80, propane 20'.",
)
@click.option(
    "--coldest",
    "coldest_c",
    metavar="TEMP",
    callback=given(read_temperature_c),
    help="Of the canister when you cook: mostly the morning.",
)
@click.option(
    "--altitude",
    "altitude_m",
    required=True,
    metavar="HEIGHT",
    callback=given(read_altitude_m),
    help="Height of camp.",
)
@click.option(
    "--weather",
    "weather_hpa",
    default="0",
    metavar="HPA",
    callback=given(read_hpa),
    help="How far the air pressure stands above or below the usual.",
)
@options.as_json
def command(
    fuel: Fuel, coldest_c: float | None, altitude_m: float, weather_hpa: float, as_json: bool
) -> None:
    """Does an upright canister still give gas in that cold, full and nearly empty?

    \b
    fellfare camp gas --fuel 'isobutane 80, propane 20' --coldest -8 \\
        --altitude 2900
    """
    if fuel.kind != "gas":
        raise Mistake(
            "fuel-is-no-gas",
            what=f"{fuel.name} does not come as gas from a canister",
            mend="name a gas: gas, gas-butane, 'isobutane 80, propane 20'",
            where="--fuel",
        )
    if coldest_c is not None and not -60.0 <= coldest_c <= 50.0:
        raise Mistake(
            "gas-temperature-out-of-range",
            what=f"a canister of {coldest_c:.0f} °C is outside -60 to 50 °C",
            mend="give the temperature at cooking time; never heat a canister above 50 °C",
            where="--coldest",
        )
    told = gas_in_cold(fuel, altitude_m, coldest_c, weather_hpa)
    air_pa = air_pressure_pa(altitude_m, weather_hpa)
    limits = [
        (used, lowest_temperature_c(mix_after_use(fuel.mix, used, _DRAWN_AT_C), air_pa))
        for used in _USED
    ]
    answer(
        _text(fuel, told, limits, coldest_c),
        {
            "fuel": fuel.id,
            "mix_mass_share": dict(fuel.mix),
            "altitude_m": altitude_m,
            "pressure_hpa": air_pa / 100.0,
            "coldest_c": coldest_c,
            "full_c": told.fresh_c,
            "last_third_c": told.last_third_c,
            "last_grams_c": told.empty_c,
            "caution_below_c": told.caution_below_c,
            "limits": [{"used_share": used, "limit_c": limit} for used, limit in limits],
            "trust": told.trust,
            "source": told.source,
        },
        told.findings,
        standing("stove"),
        as_json=as_json,
    )


def _text(
    fuel: Fuel, told: GasInCold, limits: list[tuple[float, float]], coldest_c: float | None
) -> list[str]:
    lines = titled(f"Gas in the cold at {height(told.altitude_m)}")
    lines += paragraph(f"{fuel.name}; canister upright, fed with vapour")
    if coldest_c is not None:
        lines += paragraph(f"At {degrees(coldest_c)}: {_at_a_glance(coldest_c, told, limits)}")
    lines += heading("No gas comes below")
    rows = [["canister", "limit", "" if coldest_c is None else f"at {coldest_c:.0f} °C"]]
    for used, limit in (*limits, (1.0, told.empty_c)):
        name = "full" if not used else "last grams" if used == 1.0 else f"{100 * used:.0f} % used"
        verdict = "" if coldest_c is None else _verdict(coldest_c, limit)
        rows.append([name, degrees(limit), verdict])
    lines += [f"  {line}" for line in table(rows, [12, -16, 30])]
    lines += paragraph(
        f"Below {degrees(told.caution_below_c)} keep it warm in the sleeping bag or jacket, or "
        "stand it in a bowl of lukewarm water [common practice]; never on or near the flame.  The "
        "light gas leaves first, and a canister cools itself while it burns."
    )
    return lines + known((told.trust, told.source))


def _at_a_glance(coldest_c: float, told: GasInCold, limits: list[tuple[float, float]]) -> str:
    if not coldest_c > told.fresh_c:
        return "no gas, not even from a full canister."
    if coldest_c > told.empty_c:
        weak = coldest_c < told.caution_below_c
        return "gas to the last grams" + (", weak towards the end." if weak else ".")
    gone = [used for used, limit in limits if not coldest_c > limit]
    last = f"before {100 * gone[0]:.0f} % of it is used" if gone else "with the last grams"
    return f"gas from a full canister; it fails {last}."


def _verdict(coldest_c: float, limit_c: float) -> str:
    if not coldest_c > limit_c:
        return "  no gas"
    return "  gas, but weak" if coldest_c < limit_c + COLD_MARGIN_K else "  gas"
