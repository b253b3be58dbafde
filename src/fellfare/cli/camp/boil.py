"""``fellfare camp boil ALTITUDE``."""

from __future__ import annotations

import click

from fellfare.camp import boil_at, cooking_minutes
from fellfare.cli.camp import options
from fellfare.cli.camp.answer import answer, degrees, height, known, standing, titled
from fellfare.cli.camp.reading import given, read_altitude_m, read_hpa, read_minutes
from fellfare.cli.layout import heading, paragraph
from fellfare.mistake import Finding, Mistake
from fellfare.safety.rules.pulses import NO_TIME_ABOVE_M, raw_lectin_pulse
from fellfare.safety.water_treatment import ADVICE, boil_minutes

_SEA_LEVEL_HPA = 1013.25
_HPA_PER_INHG = 33.86389  # at 32 F, NIST SP 811 (2008) B.8


# So that '-400' (the Dead Sea) is a height and no option.
@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("altitude_m", metavar="ALTITUDE", callback=given(read_altitude_m))
@click.option(
    "--cook",
    "packet_minutes",
    default="10 min",
    show_default=True,
    metavar="MIN",
    callback=given(read_minutes),
    help="Minutes on the boil that the packet asks.",
)
@click.option(
    "--weather",
    "weather_hpa",
    default="0",
    metavar="HPA",
    callback=given(read_hpa),
    help="How far the air pressure stands above or below the usual (-30 in a storm).",
)
@options.as_json
def command(altitude_m: float, packet_minutes: float, weather_hpa: float, as_json: bool) -> None:
    """How hot does water get at ALTITUDE, and how much longer must it cook?

    ALTITUDE is metres ('4200', '4200m') or feet ('13800 ft').
    """
    try:
        there = boil_at(altitude_m, weather_hpa)
        cook = cooking_minutes(packet_minutes, altitude_m, weather_hpa)
    except Mistake as mistake:
        raise mistake.at("boil") from None
    share = there.pressure_hpa / _SEA_LEVEL_HPA
    low, high = round(cook.low_minutes), round(cook.high_minutes)
    lines = titled(f"Water at {height(altitude_m)}")
    lines += [
        f"  boils at       {degrees(there.boils_c)}",
        f"  weather        {there.low_c:.0f} to {there.high_c:.0f} °C "
        f"(air pressure {there.band_hpa:.0f} hPa lower or higher)",
        f"  air pressure   {there.pressure_hpa:.0f} hPa ({there.pressure_hpa / _HPA_PER_INHG:.1f} "
        f"inHg), {100 * share:.0f} % of sea level",
    ]
    lines += heading("Cooking in the water: pasta, rice, grain")
    lines += [f"  {packet_minutes:g} min on the packet → plan {cook.minutes:.0f} min here"]
    lines += paragraph(
        f"Between {low} and {high} min; the factor {cook.factor:.2f} is for rice and small pasta, "
        "thick pieces change less.  Taste it: this is doneness only, never the time that makes "
        "meat, egg or beans harmless.  The fuel for the simmer grows alike: soak first, or take "
        "food that only wants hot water."
        if cook.factor > 1.05
        else "The packet's time holds here.  Taste it: this is doneness only, never the time that "
        "makes meat, egg or beans harmless."
    )
    lines += known((there.trust, there.source), (cook.trust, cook.source))
    answer(
        lines,
        {
            "altitude_m": altitude_m,
            "boils_c": there.boils_c,
            "boils_f": there.boils_c * 1.8 + 32.0,
            "low_c": there.low_c,
            "high_c": there.high_c,
            "band_hpa": there.band_hpa,
            "pressure_hpa": there.pressure_hpa,
            "pressure_share_of_sea_level": share,
            "trust": there.trust,
            "source": there.source,
            "cooking": {
                "packet_min": packet_minutes,
                "minutes": cook.minutes,
                "low_min": cook.low_minutes,
                "high_min": cook.high_minutes,
                "factor": cook.factor,
                "trust": cook.trust,
                "source": cook.source,
            },
            "treat_water_boil_min": boil_minutes(altitude_m),
        },
        (),
        (*_notes(altitude_m), *standing("stove")),
        as_json=as_json,
    )


def _notes(altitude_m: float) -> tuple[Finding, ...]:
    """Drinking water and raw beans, by height."""
    minutes = boil_minutes(altitude_m)
    most = boil_minutes(None)
    from_m = min(one.above_m for one in ADVICE if one.above_m and one.high_minutes == most)
    treat = Finding(
        severity="note",
        rule="water-by-boiling",
        text=f"Water from springs, streams and snow: keep it at a rolling boil for {minutes:.0f} "
        f"min here.  Agencies ask 1 to 3 min; the strictest asks {most:.0f} min "
        f"from {from_m:.0f} m.  Boiling takes out no chemicals.",
        source="[CDC-EID-2025] table of agencies",
    )
    if altitude_m <= NO_TIME_ABOVE_M:
        return (treat,)
    beans = Finding(
        severity="note",
        rule="raw-lectin-pulse",
        text=f"Raw dried beans: no boiling time is published above {NO_TIME_ABOVE_M:.0f} m; take "
        "precooked, instant or canned ones.",
        source=raw_lectin_pulse.source,
    )
    return (treat, beans)
